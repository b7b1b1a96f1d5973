#include "book/totals.h"

#include "base/wide.h"

#include <float.h>
#include <math.h>

enum { LANES = 4 };

struct summary summary_none(void)
{
    return (struct summary){.first = NAN, .last = NAN, .min = NAN, .max = NAN, .first_s = NAN, .last_s = NAN};
}

/* Where every value is a number: sums in lanes, which the compiler turns into wide instructions. */
WIDE static struct summary of_numbers(const double *t_s, const double *v, size_t n)
{
    double sum[LANES] = {0}, twice[LANES] = {0}, least[LANES], most[LANES];
    for (int lane = 0; lane < LANES; lane++)
        least[lane] = most[lane] = v[0];
    size_t k = 0;
    for (; k + LANES < n; k += LANES)
        for (int lane = 0; lane < LANES; lane++) {
            double here = v[k + (size_t)lane], next = v[k + (size_t)lane + 1];
            sum[lane] += here;
            twice[lane] += (t_s[k + (size_t)lane + 1] - t_s[k + (size_t)lane]) * (here + next);
            least[lane] = here < least[lane] ? here : least[lane];
            most[lane] = here > most[lane] ? here : most[lane];
        }
    for (; k < n; k++) {
        sum[0] += v[k];
        twice[0] += k + 1 < n ? (t_s[k + 1] - t_s[k]) * (v[k] + v[k + 1]) : 0;
        least[0] = v[k] < least[0] ? v[k] : least[0];
        most[0] = v[k] > most[0] ? v[k] : most[0];
    }
    for (int lane = 1; lane < LANES; lane++) {
        least[0] = least[lane] < least[0] ? least[lane] : least[0];
        most[0] = most[lane] > most[0] ? most[lane] : most[0];
    }
    return (struct summary){.count = (int64_t)n,
                            .numbers = (int64_t)n,
                            .first = v[0],
                            .last = v[n - 1],
                            .min = least[0],
                            .max = most[0],
                            .first_s = t_s[0],
                            .last_s = t_s[n - 1],
                            .sum = (sum[0] + sum[1]) + (sum[2] + sum[3]),
                            .integral = ((twice[0] + twice[1]) + (twice[2] + twice[3])) / 2};
}

/* At most BLOCK_CELL readings. */
static struct summary of_cell(const double *t_s, const double *values, size_t n)
{
    double t[BLOCK_CELL], v[BLOCK_CELL];
    size_t numbers = 0;
    for (size_t k = 0; k < n; k++)
        if (!isnan(values[k])) {
            t[numbers] = t_s[k];
            v[numbers++] = values[k];
        }
    struct summary summary = numbers > 0 ? of_numbers(t, v, numbers) : summary_none();
    summary.count = (int64_t)n;
    return summary;
}

struct summary summary_of(const double *t_s, const double *values, size_t n)
{
    struct summary summary = summary_none();
    for (size_t k = 0; k < n; k += BLOCK_CELL) {
        struct summary cell = of_cell(t_s + k, values + k, n - k < BLOCK_CELL ? n - k : BLOCK_CELL);
        summary_join(&summary, &cell);
    }
    return summary;
}

void summary_join(struct summary *summary, const struct summary *after)
{
    int64_t count = summary->count + after->count;
    if (summary->numbers == 0) {
        *summary = *after;
    } else if (after->numbers > 0) {
        summary->integral +=
            after->integral + (after->first_s - summary->last_s) * (summary->last + after->first) / 2;
        summary->sum += after->sum;
        summary->numbers += after->numbers;
        summary->min = after->min < summary->min ? after->min : summary->min;
        summary->max = after->max > summary->max ? after->max : summary->max;
        summary->last = after->last;
        summary->last_s = after->last_s;
    }
    summary->count = count;
}

struct summary summary_own(struct summary summary, const struct unit *unit)
{
    if (summary.numbers == 0)
        return summary;
    double least = unit_own(summary.min, unit), most = unit_own(summary.max, unit);
    summary.first = unit_own(summary.first, unit);
    summary.last = unit_own(summary.last, unit);
    summary.min = fmin(least, most); /* the factor is negative where the rig says `reversed` */
    summary.max = fmax(least, most);
    summary.sum = (summary.sum + unit->shift * (double)summary.numbers) * unit->factor;
    summary.integral = (summary.integral + unit->shift * (summary.last_s - summary.first_s)) * unit->factor;
    return summary;
}

static bool same(double a, double b)
{
    return a == b || (isnan(a) && isnan(b));
}

bool summary_agree(const struct summary *a, const struct summary *b)
{
    if (a->count != b->count || a->numbers != b->numbers || !same(a->first, b->first) || !same(a->last, b->last) ||
        !same(a->min, b->min) || !same(a->max, b->max) || !same(a->first_s, b->first_s) ||
        !same(a->last_s, b->last_s))
        return false;
    if (a->numbers == 0)
        return a->sum == 0 && b->sum == 0 && a->integral == 0 && b->integral == 0;
    /* (n - 1) u Σ|x| for each of the two, with Σ|x| at most n times the largest; an interval has a handful of
     * roundings besides. */
    double n = (double)a->numbers, largest = fmax(fabs(a->min), fabs(a->max));
    return fabs(a->sum - b->sum) <= n * DBL_EPSILON * n * largest &&
           fabs(a->integral - b->integral) <= (n + 4) * DBL_EPSILON * (a->last_s - a->first_s) * largest;
}

static struct decimal whole(int64_t number)
{
    return (struct decimal){number, 0, DECIMAL_NUMBER};
}

/* The decimal that a value was made from. */
static struct decimal digits_of(double value, const double *values, const struct decimal *decimals)
{
    size_t k = 0;
    while (values[k] != value)
        k++;
    return decimals[k];
}

/* What one cell of a block comes to. */
struct digest {
    struct summary summary;
    struct decimal field[CELL_FIELDS];
};

/* Where all are printed alike the work is done on whole mantissas, and only its results are divided. */
static bool digest_alike(const double *t_s, const struct decimal *decimals, size_t n, struct digest *ret_digest)
{
    const double exact = 0x1p53;
    int64_t mantissas[BLOCK_CELL];
    double values[BLOCK_CELL];
    int d = decimals[0].decimals;
    if (d < 0 || d > DECIMAL_DIGITS || !decimal_mantissas(decimals, n, mantissas))
        return false;
    decimal_scale(mantissas, n, 0, values);
    struct summary s = of_numbers(t_s, values, n);
    if (!(s.min >= -exact) || !(s.max <= exact))
        return false;
    const double of[CELL_NUMBERS] = {s.first, s.last, s.min, s.max};
    for (int field = 0; field < CELL_NUMBERS; field++)
        ret_digest->field[field] = (struct decimal){(int64_t)of[field], (int8_t)d, DECIMAL_NUMBER};
    double ten = decimal_value((struct decimal){1, (int8_t)-d, DECIMAL_NUMBER});
    s.first /= ten, s.last /= ten, s.min /= ten, s.max /= ten, s.sum /= ten, s.integral /= ten;
    ret_digest->summary = s;
    return true;
}

static void digest_unlike(const double *t_s, const struct decimal *decimals, size_t n, struct digest *ret_digest)
{
    double values[BLOCK_CELL];
    decimal_values(decimals, n, values);
    struct summary s = of_cell(t_s, values, n);
    const double of[CELL_NUMBERS] = {s.first, s.last, s.min, s.max};
    for (int field = 0; field < CELL_NUMBERS; field++)
        ret_digest->field[field] =
            s.numbers > 0 ? digits_of(of[field], values, decimals) : (struct decimal){.kind = DECIMAL_MISSING};
    ret_digest->summary = s;
}

struct summary cells_of(const struct block_columns *block, const double *t_s, int position, struct cells *ret_cells)
{
    struct summary summary = summary_none();
    size_t at = 0;
    for (size_t k = 0; k < block->count; k += BLOCK_CELL, at++) {
        size_t n = block->count - k < BLOCK_CELL ? block->count - k : BLOCK_CELL;
        struct digest digest;
        if (!digest_alike(t_s + k, block->cells[position] + k, n, &digest))
            digest_unlike(t_s + k, block->cells[position] + k, n, &digest);
        summary_join(&summary, &digest.summary);
        digest.field[CELL_NUMBERS] = whole(digest.summary.numbers);
        for (int field = 0; field < CELL_FIELDS; field++)
            ret_cells->field[field][at] = digest.field[field];
    }
    ret_cells->count = at;
    return summary;
}

/* Joins the cells `from` to `to` - 1 into one. */
static void join_cells(const struct cells *finer, size_t from, size_t to, struct cells *cells)
{
    struct decimal joined[CELL_FIELDS] = {[CELL_NUMBERS] = whole(0)};
    for (size_t k = from; k < to; k++) {
        int64_t numbers = finer->field[CELL_NUMBERS][k].mantissa;
        if (numbers == 0)
            continue;
        bool first = joined[CELL_NUMBERS].mantissa == 0;
        if (first)
            joined[CELL_FIRST] = finer->field[CELL_FIRST][k];
        joined[CELL_LAST] = finer->field[CELL_LAST][k];
        if (first || decimal_value(finer->field[CELL_MIN][k]) < decimal_value(joined[CELL_MIN]))
            joined[CELL_MIN] = finer->field[CELL_MIN][k];
        if (first || decimal_value(finer->field[CELL_MAX][k]) > decimal_value(joined[CELL_MAX]))
            joined[CELL_MAX] = finer->field[CELL_MAX][k];
        joined[CELL_NUMBERS].mantissa += numbers;
    }
    for (int field = 0; field < CELL_FIELDS; field++)
        cells->field[field][cells->count] = joined[field];
    cells->count++;
}

enum status cells_coarsen(const struct cells *finer, struct cells *cells, struct message *message)
{
    size_t more = (finer->count + LEVEL_CELLS - 1) / LEVEL_CELLS;
    if (more > CELLS_LIMIT - cells->count)
        return status_fail(message, STATUS_UNREADABLE, "the summaries have more cells than they can have");
    for (size_t k = 0; k < finer->count; k += LEVEL_CELLS)
        join_cells(finer, k, k + LEVEL_CELLS < finer->count ? k + LEVEL_CELLS : finer->count, cells);
    return STATUS_OK;
}

static int fields_of(int position)
{
    return position == 0 ? CELL_LAST + 1 : CELL_FIELDS;
}

enum status cells_pack(const struct cells *cells, int position, struct block_workspace *workspace,
                       struct text *ret_bytes, struct message *message)
{
    struct block_columns columns = {.count = cells->count, .columns = fields_of(position)};
    for (int field = 0; field < columns.columns; field++)
        columns.cells[field] = cells->field[field];
    return block_pack(&columns, workspace, ret_bytes, message);
}

static enum status judge_cells(struct span bytes, struct message *message)
{
    if (block_readings(bytes) > CELLS_LIMIT)
        return status_fail(message, STATUS_UNREADABLE, "a summary has more cells than it can have");
    return STATUS_OK;
}

enum status cells_unpack(struct span bytes, int position, struct block_workspace *workspace,
                         struct cells *ret_cells, struct message *message)
{
    struct decimal *fields[BLOCK_COLUMNS] = {NULL};
    for (int field = 0; field < fields_of(position); field++)
        fields[field] = ret_cells->field[field];
    enum status status = judge_cells(bytes, message);
    if (status == STATUS_OK)
        status = block_unpack(bytes, workspace, fields, &ret_cells->count, NULL, message);
    for (size_t k = 0; status == STATUS_OK && position == 0 && k < ret_cells->count; k++) {
        ret_cells->field[CELL_MIN][k] = ret_cells->field[CELL_FIRST][k]; /* time rises and has no gaps */
        ret_cells->field[CELL_MAX][k] = ret_cells->field[CELL_LAST][k];
        ret_cells->field[CELL_NUMBERS][k] = whole(1);
    }
    return status;
}

enum status cells_values(struct span bytes, int position, struct block_workspace *workspace,
                         double ret_field[static CELL_FIELDS][CELLS_LIMIT], size_t *ret_count,
                         struct message *message)
{
    double *fields[BLOCK_COLUMNS] = {NULL};
    for (int field = 0; field < fields_of(position); field++)
        fields[field] = ret_field[field];
    enum status status = judge_cells(bytes, message);
    return status == STATUS_OK ? block_values(bytes, workspace, fields, ret_count, message) : status;
}
