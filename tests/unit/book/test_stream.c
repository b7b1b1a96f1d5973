#include "check.h"

#include "fault/invented_stream.h"
#include "unit/book/scratch_book.h"

static struct invented_block block;

static void append(struct book *book, int64_t stream, int64_t from, int64_t count)
{
    for (int64_t done = 0; done < count;) {
        int64_t part = count - done < 1024 ? count - done : 1024;
        invented_fill(&block, from + done, (size_t)part);
        CHECK(stream_append(book, stream, &block.block, NULL) == STATUS_OK);
        done += part;
    }
}

static int64_t begin(struct scratch *scratch)
{
    int64_t stream = 0;
    scratch_open(scratch);
    CHECK(invented_begin(scratch->book, "Hut pack 014", &stream, NULL) == STATUS_OK);
    return stream;
}

static void walk_and_count(struct book *book, int64_t stream, int64_t count)
{
    struct invented_seen seen = {0};
    CHECK(stream_walk(book, stream, -INFINITY, INFINITY, invented_compare, &seen, NULL) == STATUS_OK);
    CHECK(seen.wrong == 0 && seen.next == count);
}

TEST(columns_come_back_as_they_were_given)
{
    struct scratch scratch;
    struct book_stream_list list = {0};
    begin(&scratch);
    struct book_stream want = invented_stream(1, "bench meter");
    CHECK(book_streams(scratch.book, 1, &list, NULL) == STATUS_OK && list.count == 1);
    if (list.count == 1) {
        const struct book_stream *got = &list.items[0];
        CHECK_TEXT(got->name, want.name);
        CHECK_TEXT(got->identity, want.identity);
        CHECK(got->run == 1 && got->columns == want.columns);
        for (int c = 0; c < want.columns; c++) {
            CHECK_TEXT(got->column[c].name, want.column[c].name);
            CHECK_TEXT(got->column[c].unit_symbol, want.column[c].unit_symbol);
            CHECK(got->column[c].channel == want.column[c].channel && got->column[c].quantity == want.column[c].quantity);
            CHECK(got->column[c].unit.factor == want.column[c].unit.factor && got->column[c].unit.shift == 0);
        }
    }
    book_stream_list_free(&list);
    CHECK(book_streams(scratch.book, 99, &list, NULL) == STATUS_OK && list.count == 0);
    want.run = 99;
    int64_t id = 0;
    CHECK(stream_add(scratch.book, &want, &id, NULL) == STATUS_MALFORMED && id == 0);
    scratch_remove(&scratch);
}

/* The block is sealed in the midst of a batch: the first block is whole, every digit and odd text in its place. */
TEST(the_journal_is_sealed_when_a_block_is_full)
{
    struct scratch scratch;
    int64_t stream = begin(&scratch);
    append(scratch.book, stream, 0, 3);
    walk_and_count(scratch.book, stream, 3);
    append(scratch.book, stream, 3, BLOCK_READINGS + 700);
    walk_and_count(scratch.book, stream, BLOCK_READINGS + 703);
    CHECK(stream_seal(scratch.book, stream, NULL) == STATUS_OK);
    CHECK(stream_seal(scratch.book, stream, NULL) == STATUS_OK); /* nothing left to seal */
    walk_and_count(scratch.book, stream, BLOCK_READINGS + 703);
    append(scratch.book, stream, BLOCK_READINGS + 703, 10);
    long faults = -1;
    CHECK(book_check(scratch.book, NULL, NULL, NULL, &faults, NULL) == STATUS_OK && faults == 0);
    struct book_run run;
    CHECK(book_run_get(scratch.book, 1, &run, NULL) == STATUS_OK && run.open);
    CHECK_NEAR(run.end_s, decimal_value(invented_cell(BLOCK_READINGS + 712, 0)), 0);
    scratch_remove(&scratch);
}

TEST(what_was_rolled_back_leaves_no_trace)
{
    struct scratch scratch;
    int64_t stream = begin(&scratch);
    append(scratch.book, stream, 0, BLOCK_READINGS - 5);
    CHECK(book_begin(scratch.book, NULL) == STATUS_OK);
    append(scratch.book, stream, BLOCK_READINGS - 5, 30); /* seals */
    book_rollback(scratch.book);
    walk_and_count(scratch.book, stream, BLOCK_READINGS - 5);
    append(scratch.book, stream, BLOCK_READINGS - 5, 30);
    walk_and_count(scratch.book, stream, BLOCK_READINGS + 25);
    scratch_remove(&scratch);
}

TEST(readings_that_do_not_fit_are_refused)
{
    struct scratch scratch;
    struct message message = {0};
    int64_t stream = begin(&scratch);
    append(scratch.book, stream, 100, 50);
    invented_fill(&block, 120, 5); /* before what is there */
    CHECK(stream_append(scratch.book, stream, &block.block, &message) == STATUS_MALFORMED);
    CHECK(strstr(message.what, "no time, or one before") != NULL);
    invented_fill(&block, 150, 5);
    block.cells[0][3].mantissa = 1; /* steps back within */
    CHECK(stream_append(scratch.book, stream, &block.block, NULL) == STATUS_MALFORMED);
    invented_fill(&block, 150, 5);
    block.cells[0][0] = (struct decimal){.kind = DECIMAL_MISSING};
    CHECK(stream_append(scratch.book, stream, &block.block, NULL) == STATUS_MALFORMED);
    invented_fill(&block, 150, 5);
    block.block.columns = 3;
    CHECK(stream_append(scratch.book, stream, &block.block, NULL) == STATUS_MALFORMED);
    invented_fill(&block, 150, 5);
    CHECK(stream_append(scratch.book, stream + 1, &block.block, NULL) == STATUS_USAGE);
    struct invented_seen seen = {.next = 100};
    CHECK(stream_walk(scratch.book, stream, -INFINITY, INFINITY, invented_compare, &seen, NULL) == STATUS_OK);
    CHECK(seen.wrong == 0 && seen.next == 150);
    scratch_remove(&scratch);
}

TEST(two_handles_take_turns)
{
    struct scratch scratch;
    struct book *other = NULL;
    struct book_options options = writing();
    int64_t stream = begin(&scratch);
    CHECK(book_open(scratch.path, &options, &other, NULL) == STATUS_OK);
    for (int64_t k = 0; k < 12; k++)
        append(k % 2 == 0 ? scratch.book : other, stream, k * 1500, 1500); /* each seals where the other wrote */
    walk_and_count(scratch.book, stream, 18000);
    book_close(other);
    scratch_remove(&scratch);
}

struct stretch {
    struct invented_seen seen;
    double first_s, last_s;
    int64_t count;
};

static bool within(void *context, const struct block_columns *part)
{
    struct stretch *stretch = context;
    if (stretch->count == 0)
        stretch->first_s = decimal_value(part->cells[0][0]);
    stretch->last_s = decimal_value(part->cells[0][part->count - 1]);
    stretch->count += (int64_t)part->count;
    return invented_compare(&stretch->seen, part);
}

static bool stop_at_once(void *context, const struct block_columns *part)
{
    ++*(int *)context;
    return false;
}

TEST(a_walk_keeps_to_its_bounds)
{
    struct scratch scratch;
    int64_t stream = begin(&scratch);
    append(scratch.book, stream, 0, BLOCK_READINGS + 2000);
    static const struct {
        int64_t from, count;
    } parts[] = {{1000, 1}, {13, 700}, {BLOCK_READINGS - 9, 40}, {BLOCK_READINGS + 5, 500}};
    for (size_t k = 0; k < sizeof parts / sizeof parts[0]; k++) {
        struct stretch stretch = {.seen = {.next = parts[k].from}};
        double from_s = decimal_value(invented_cell(parts[k].from, 0));
        double to_s = decimal_value(invented_cell(parts[k].from + parts[k].count - 1, 0));
        CHECK(stream_walk(scratch.book, stream, from_s, to_s, within, &stretch, NULL) == STATUS_OK);
        CHECK(stretch.seen.wrong == 0 && stretch.count == parts[k].count);
        CHECK(stretch.first_s == from_s && stretch.last_s == to_s);
    }
    struct stretch none = {0};
    CHECK(stream_walk(scratch.book, stream, 0.001, 0.019, within, &none, NULL) == STATUS_OK && none.count == 0);
    CHECK(stream_walk(scratch.book, stream, 1e9, INFINITY, within, &none, NULL) == STATUS_OK && none.count == 0);
    int visits = 0;
    CHECK(stream_walk(scratch.book, stream, -INFINITY, INFINITY, stop_at_once, &visits, NULL) == STATUS_OK);
    CHECK(visits == 1);
    scratch_remove(&scratch);
}

TEST(a_stream_becomes_a_series_in_own_units)
{
    struct scratch scratch;
    struct book_stream_list list = {0};
    struct series series = {0};
    int64_t stream = begin(&scratch);
    append(scratch.book, stream, 0, BLOCK_READINGS + 100);
    CHECK(book_streams(scratch.book, 1, &list, NULL) == STATUS_OK && list.count == 1);
    CHECK(stream_series(scratch.book, &list.items[0], &series, NULL) == STATUS_OK);
    CHECK(series.count == BLOCK_READINGS + 100 && series.column[CHANNEL_TEMPERATURE] == NULL);
    CHECK(series.start_utc_s == 1790000000.5);
    CHECK_NEAR(series.resolution[CHANNEL_VOLTAGE], 0.001, 1e-18);
    CHECK_NEAR(series.resolution[CHANNEL_CURRENT], 0.01, 1e-17);
    CHECK_NEAR(series.time_resolution_s, 0.001, 1e-18);
    long wrong = 0;
    for (size_t k = 0; k < series.count; k++) {
        double v = decimal_value(invented_cell((int64_t)k, 1)), a = -decimal_value(invented_cell((int64_t)k, 2));
        wrong += series.t_s[k] != decimal_value(invented_cell((int64_t)k, 0));
        wrong += isnan(v) ? !isnan(series.column[CHANNEL_VOLTAGE][k]) : series.column[CHANNEL_VOLTAGE][k] != v;
        wrong += isnan(a) ? !isnan(series.column[CHANNEL_CURRENT][k]) : series.column[CHANNEL_CURRENT][k] != a;
    }
    CHECK(wrong == 0);
    series_free(&series);
    book_stream_list_free(&list);
    scratch_remove(&scratch);
}

TEST(an_empty_stream_is_an_empty_series)
{
    struct scratch scratch;
    struct book_stream_list list = {0};
    struct series series = {0};
    begin(&scratch);
    CHECK(book_streams(scratch.book, 1, &list, NULL) == STATUS_OK);
    CHECK(stream_series(scratch.book, &list.items[0], &series, NULL) == STATUS_OK && series.count == 0);
    series_free(&series);
    book_stream_list_free(&list);
    scratch_remove(&scratch);
}

/* Across a sealed block, its end and the journal; against walking and counting. */
struct counted {
    double before_s;
    int64_t count;
};

static bool count_before(void *context, const struct block_columns *given)
{
    struct counted *counted = context;
    for (size_t k = 0; k < given->count; k++)
        counted->count += decimal_value(given->cells[0][k]) < counted->before_s;
    return true;
}

TEST(a_reading_has_its_number)
{
    struct scratch scratch;
    int64_t stream = begin(&scratch);
    append(scratch.book, stream, 0, 20000);
    double last_s = NAN;
    struct summary totals[BLOCK_COLUMNS];
    CHECK(stream_totals(scratch.book, stream, totals, NULL) == STATUS_OK);
    last_s = totals[0].last;
    for (int k = 0; k <= 50; k++) {
        struct counted counted = {.before_s = last_s * (k - 1) / 49 + 0.0003 * k};
        int64_t before = -1;
        CHECK(stream_walk(scratch.book, stream, -INFINITY, INFINITY, count_before, &counted, NULL) == STATUS_OK);
        CHECK(stream_before(scratch.book, stream, counted.before_s, &before, NULL) == STATUS_OK);
        CHECK(before == counted.count);
    }
    scratch_remove(&scratch);
}
