#include "check.h"

#include "random_columns.h"

#include "book/totals.h"
#include "numeric/integrate.h"

#include <math.h>
#include <string.h>

enum { N = 3333 };
static double t_s[N], value[N];
static struct random_columns made;

/* A column with gaps and equal times as doubles. */
static void make(uint64_t seed)
{
    random_columns_make(&made, seed, N, 2);
    decimal_values(made.cells[0], N, t_s);
    decimal_values(made.cells[1], N, value);
}

/* What numeric/integrate.h makes of the numbers alone. */
static double integral_by_numeric(size_t from, size_t to)
{
    static double t[N], v[N];
    size_t n = 0;
    for (size_t k = from; k < to; k++)
        if (!isnan(value[k])) {
            t[n] = t_s[k];
            v[n++] = value[k];
        }
    return n > 0 ? integrate_linear(t, v, n) : 0;
}

static double scale_of(const struct summary *summary)
{
    return summary->numbers == 0 ? 1 : fmax(fabs(summary->min), fabs(summary->max)) + 1e-300;
}

TEST(integral_by_the_convention_of_numeric)
{
    for (uint64_t seed = 1; seed < 40; seed++) {
        make(seed);
        struct summary all = summary_of(t_s, value, N);
        CHECK_REL(all.integral, integral_by_numeric(0, N), 1e-9);
        CHECK(all.count == N);
        random_columns_free(&made);
    }
}

/* By the definition, one reading at a time. */
TEST(counts_and_extremes_by_definition)
{
    for (uint64_t seed = 1; seed < 40; seed++) {
        make(seed);
        struct summary all = summary_of(t_s, value, N);
        int64_t numbers = 0;
        double least = NAN, most = NAN, first = NAN, last = NAN, last_s = NAN;
        long double sum = 0;
        for (size_t k = 0; k < N; k++) {
            if (isnan(value[k]))
                continue;
            least = !(least <= value[k]) ? value[k] : least;
            most = !(most >= value[k]) ? value[k] : most;
            first = numbers++ == 0 ? value[k] : first;
            last = value[k], last_s = t_s[k];
            sum += value[k];
        }
        CHECK(all.numbers == numbers);
        CHECK(numbers == 0 || (all.min == least && all.max == most && all.first == first && all.last == last));
        CHECK(numbers == 0 || all.last_s == last_s);
        CHECK_NEAR(all.sum / scale_of(&all), (double)sum / scale_of(&all), 1e-9 * N);
        random_columns_free(&made);
    }
}

TEST(parts_join_to_the_whole_wherever_they_are_cut)
{
    for (uint64_t seed = 1; seed < 60; seed++) {
        make(seed);
        struct summary all = summary_of(t_s, value, N), joined = summary_none();
        for (size_t from = 0; from < N;) {
            size_t n = 1 + draw(&made.state, seed % 2 == 0 ? 5 : 900);
            n = n < N - from ? n : N - from;
            struct summary part = summary_of(t_s + from, value + from, n);
            summary_join(&joined, &part);
            from += n;
        }
        CHECK(summary_agree(&all, &joined));
        joined.integral += 1e-6 * (1 + fabs(joined.integral));
        CHECK(!summary_agree(&all, &joined));
        random_columns_free(&made);
    }
}

TEST(nothing_but_gaps_is_no_number)
{
    double none[3] = {NAN, NAN, NAN}, times[3] = {0, 1, 2};
    struct summary summary = summary_of(times, none, 3);
    CHECK(summary.count == 3 && summary.numbers == 0 && isnan(summary.min) && summary.integral == 0);
    double one[1] = {2.385};
    struct summary after = summary_of(times + 2, one, 1);
    summary_join(&summary, &after);
    CHECK(summary.count == 4 && summary.numbers == 1 && summary.first == 2.385 && summary.integral == 0);
}

/* A reversed shunt in millivolts: least and most change places. */
TEST(brought_to_the_own_unit)
{
    double times[3] = {0, 1.5, 4}, values[3] = {1.25, -3.5, 2};
    struct unit unit = {QUANTITY_CURRENT, -0.001, 10};
    struct summary own = summary_of(times, values, 3), by_hand;
    own = summary_own(own, &unit);
    for (int k = 0; k < 3; k++)
        values[k] = unit_own(values[k], &unit);
    by_hand = summary_of(times, values, 3);
    CHECK_NEAR(own.min, by_hand.min, 0);
    CHECK_NEAR(own.max, by_hand.max, 0);
    CHECK_REL(own.sum, by_hand.sum, 1e-14);
    CHECK_REL(own.integral, by_hand.integral, 1e-14);
}

static struct cells fine, again, coarse;

static bool same_number(struct decimal a, double b)
{
    return decimal_value(a) == b || (a.kind != DECIMAL_NUMBER && a.kind != DECIMAL_NEGATIVE_ZERO && isnan(b));
}

static void check_cells(const struct cells *cells, size_t width)
{
    CHECK(cells->count == (N + width - 1) / width);
    for (size_t k = 0; k < cells->count; k++) {
        size_t from = k * width, n = N - from < width ? N - from : width;
        struct summary summary = summary_of(t_s + from, value + from, n);
        CHECK(cells->field[CELL_NUMBERS][k].mantissa == summary.numbers);
        CHECK(same_number(cells->field[CELL_MIN][k], summary.min));
        CHECK(same_number(cells->field[CELL_MAX][k], summary.max));
        CHECK(same_number(cells->field[CELL_FIRST][k], summary.first));
        CHECK(same_number(cells->field[CELL_LAST][k], summary.last));
    }
}

TEST(cells_are_exact_at_both_levels_and_survive_packing)
{
    struct block_workspace *workspace = block_workspace_new();
    struct message message;
    for (uint64_t seed = 1; seed < 40; seed++) {
        make(seed);
        struct text bytes = TEXT_EMPTY;
        struct summary all = cells_of(&made.columns, t_s, 1, &fine), direct = summary_of(t_s, value, N);
        CHECK(summary_agree(&all, &direct));
        check_cells(&fine, BLOCK_CELL);
        CHECK(cells_pack(&fine, 1, workspace, &bytes, &message) == STATUS_OK);
        CHECK(cells_unpack((struct span){bytes.s, bytes.length}, 1, workspace, &again, &message) == STATUS_OK);
        check_cells(&again, BLOCK_CELL);
        coarse.count = 0;
        CHECK(cells_coarsen(&again, &coarse, &message) == STATUS_OK);
        check_cells(&coarse, BLOCK_CELL * LEVEL_CELLS);
        text_free(&bytes);
        random_columns_free(&made);
    }
    block_workspace_free(workspace);
}

TEST(cells_of_time_are_from_and_to)
{
    make(5);
    struct block_workspace *workspace = block_workspace_new();
    struct message message;
    struct text bytes = TEXT_EMPTY;
    cells_of(&made.columns, t_s, 0, &fine);
    CHECK(cells_pack(&fine, 0, workspace, &bytes, &message) == STATUS_OK);
    CHECK(cells_unpack((struct span){bytes.s, bytes.length}, 0, workspace, &again, &message) == STATUS_OK);
    for (size_t k = 0; k < again.count; k++) {
        CHECK(decimal_value(again.field[CELL_FIRST][k]) == t_s[k * BLOCK_CELL]);
        CHECK(decimal_value(again.field[CELL_LAST][k]) ==
              t_s[(k + 1) * BLOCK_CELL < N ? (k + 1) * BLOCK_CELL - 1 : N - 1]);
    }
    text_free(&bytes);
    block_workspace_free(workspace);
    random_columns_free(&made);
}
