#include "check.h"

#include "random_columns.h"
#include "scratch_book.h"

#include "book/book_run.h"
#include "book/sample.h"
#include "book/stream.h"
#include "book/totals.h"

#include <math.h>

/* A stream with one column beside time, in the book and as plain arrays in the own unit. */
enum { POINTS = 97 };
static double *t_s, *value;
static size_t total;
static struct book_stream stream;

static void add_stream(struct book *book, double factor)
{
    struct message message;
    int64_t sample = 0, run = 0;
    CHECK(book_sample_add(book, "hut pack", true, 1, &sample, &message) == STATUS_OK);
    struct book_run made = {.sample = sample, .kind = TEST_DISCHARGE, .name = "log", .start_utc_s = NAN, .end_s = NAN};
    CHECK(book_run_add(book, &made, &run, &message) == STATUS_OK);
    stream = (struct book_stream){.run = run, .name = "log", .columns = 1};
    stream.column[0] = (struct book_column){.name = "amps",
                                            .channel = CHANNEL_CURRENT,
                                            .quantity = QUANTITY_CURRENT,
                                            .unit = {QUANTITY_CURRENT, factor, 0.25},
                                            .unit_symbol = "mA"};
    CHECK(stream_add(book, &stream, &stream.id, &message) == STATUS_OK);
}

/* `blocks` blocks of so many readings, then the journal. */
static void fill_stream(struct book *book, uint64_t seed, size_t blocks, size_t readings, size_t journalled)
{
    struct message message;
    struct random_columns made;
    t_s = memory_get((blocks + 1) * readings * sizeof *t_s);
    value = memory_get((blocks + 1) * readings * sizeof *value);
    total = 0;
    int64_t now = 0;
    CHECK(book_begin(book, &message) == STATUS_OK);
    for (size_t block = 0; block <= blocks; block++) {
        random_columns_make(&made, seed * 1000 + block, block < blocks ? readings : journalled, 2);
        for (size_t k = 0; k < made.columns.count; k++) /* no instant twice, so that times say where a stretch ends */
            made.cells[0][k] = (struct decimal){now += 1 + (int64_t)draw(&made.state, 90), 3, DECIMAL_NUMBER};
        decimal_values(made.cells[0], made.columns.count, t_s + total);
        decimal_values(made.cells[1], made.columns.count, value + total);
        for (size_t k = total; k < total + made.columns.count; k++)
            value[k] = unit_own(value[k], &stream.column[0].unit);
        total += made.columns.count;
        if (block < blocks) {
            CHECK(stream_fill(book, stream.id, &made.columns, &message) == STATUS_OK);
        } else if (journalled > 0) {
            CHECK(stream_append(book, stream.id, &made.columns, &message) == STATUS_OK);
        }
        random_columns_free(&made);
    }
    CHECK(book_commit(book, &message) == STATUS_OK);
}

/* Each stretch against its own readings, found by the times that it states; together they are all of them. */
static size_t faults_of(const struct chart_stretch *stretch, size_t *at)
{
    size_t faults = *at >= total || t_s[*at] != stretch->from_s;
    int64_t numbers = 0;
    double least = INFINITY, most = -INFINITY, first = NAN, last = NAN;
    for (; *at < total && t_s[*at] <= stretch->to_s; (*at)++) {
        double here = value[*at];
        if (isnan(here))
            continue;
        least = fmin(least, here);
        most = fmax(most, here);
        first = numbers++ == 0 ? here : first;
        last = here;
    }
    faults += *at == 0 || t_s[*at - 1] != stretch->to_s || numbers != stretch->count;
    if (numbers > 0)
        return faults + !(least == stretch->min && most == stretch->max && first == stretch->first && last == stretch->last);
    return faults + !(isnan(stretch->min) && isnan(stretch->max) && isnan(stretch->first) && isnan(stretch->last));
}

static size_t check_chart(struct book *book, double from_s, double to_s, size_t points)
{
    static struct chart_stretch stretches[POINTS];
    struct message message;
    size_t count = 0, at = 0, faults = 0;
    CHECK(stream_chart(book, &stream, 0, from_s, to_s, points, stretches, &count, &message) == STATUS_OK);
    CHECK(count <= points);
    while (at < total && t_s[at] < from_s)
        at++;
    for (size_t k = 0; k < count; k++)
        faults += faults_of(&stretches[k], &at);
    CHECK(at == total || t_s[at] > to_s);
    CHECK(faults == 0);
    return count;
}

static void check_stream(uint64_t seed, double factor, size_t blocks, size_t readings, size_t journalled)
{
    struct scratch scratch;
    scratch_open(&scratch);
    add_stream(scratch.book, factor);
    fill_stream(scratch.book, seed, blocks, readings, journalled);
    check_chart(scratch.book, -INFINITY, INFINITY, POINTS);
    check_chart(scratch.book, -INFINITY, INFINITY, 1);
    uint64_t state = seed;
    for (int k = 0; k < 30 && total > 0; k++) {
        size_t a = draw(&state, total), b = draw(&state, total);
        check_chart(scratch.book, t_s[a < b ? a : b] - (k % 3 == 0 ? 1e-4 : 0), t_s[a < b ? b : a],
                    1 + draw(&state, POINTS));
    }
    struct summary sums[2], direct = summary_of(t_s, value, total);
    struct message message;
    CHECK(stream_totals(scratch.book, stream.id, sums, &message) == STATUS_OK);
    CHECK(sums[0].count == (int64_t)total && sums[1].count == (int64_t)total && sums[1].numbers == direct.numbers);
    CHECK_REL(sums[1].sum, direct.sum, 1e-9);
    CHECK_REL(sums[1].integral, direct.integral, 1e-9);
    CHECK(total == 0 || (sums[0].min == t_s[0] && sums[0].max == t_s[total - 1]));
    CHECK(direct.numbers == 0 || (sums[1].min == direct.min && sums[1].max == direct.max &&
                                  sums[1].first == direct.first && sums[1].last_s == direct.last_s));
    free(t_s);
    free(value);
    scratch_remove(&scratch);
}

TEST(of_a_few_blocks_and_the_journal)
{
    for (uint64_t seed = 1; seed <= 6; seed++)
        check_stream(seed, seed % 2 == 0 ? 0.001 : -0.001, seed, 900, 150 * seed);
}

TEST(of_summaries)
{
    check_stream(7, 1, 40, 700, 0);
    check_stream(8, -0.5, 40, 515, 90);
}

/* More than 64 blocks: the coarser level, and a rest of the finer. */
TEST(of_both_levels)
{
    check_stream(9, 1, 150, 301, 40);
    check_stream(10, 1, 128, 270, 0);
}

TEST(of_whole_blocks)
{
    check_stream(11, 1, 20, BLOCK_READINGS, 5000);
}

TEST(of_the_journal_alone_and_of_nothing)
{
    check_stream(12, 1, 0, 300, 300);
    check_stream(13, 1, 0, 300, 0);
}

TEST(beyond_the_stream_there_is_nothing)
{
    struct scratch scratch;
    struct message message;
    scratch_open(&scratch);
    add_stream(scratch.book, 1);
    fill_stream(scratch.book, 3, 2, 500, 20);
    struct chart_stretch stretch;
    size_t count = 9;
    CHECK(stream_chart(scratch.book, &stream, 0, t_s[total - 1] + 1, INFINITY, 1, &stretch, &count, &message) == STATUS_OK);
    CHECK(count == 0);
    count = 9;
    CHECK(stream_chart(scratch.book, &stream, 0, -50, -40, 1, &stretch, &count, &message) == STATUS_OK && count == 0);
    free(t_s);
    free(value);
    scratch_remove(&scratch);
}
