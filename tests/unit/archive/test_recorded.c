/* Runs that were recorded live come back as a log: instruments joined, marks and typed lines, gaps as notices. */
#include "../book/scratch_book.h"
#include "archive/stored.h"
#include "book/sample.h"
#include "book/stream.h"
#include "check.h"

#include <math.h>

static struct message message;

static int64_t add_run(struct scratch *scratch, bool open)
{
    int64_t sample = 0, run = 0;
    scratch_open(scratch);
    CHECK(book_sample_add(scratch->book, "hut pack", true, 1, &sample, &message) == STATUS_OK);
    struct book_run made = {.sample = sample,
                            .kind = TEST_DISCHARGE,
                            .origin = TEST_RECORDED,
                            .name = "evening",
                            .start_utc_s = 1680516000,
                            .zone_known = true,
                            .end_s = NAN,
                            .open = open,
                            .invented = true};
    CHECK(book_run_add(scratch->book, &made, &run, &message) == STATUS_OK);
    return run;
}

/* One column of `count` readings every second from from_ms on, but none in [gap_s, gap_s + 20). */
static int64_t add_stream(struct book *book, int64_t run, const char *name, enum channel channel,
                          double factor, int64_t from_ms, int count, int gap_s)
{
    enum { MOST = 200 };
    struct decimal t[MOST], x[MOST];
    struct book_stream stream = {.run = run, .columns = 1};
    snprintf(stream.name, sizeof stream.name, "%s", name);
    stream.column[0] = (struct book_column){.channel = channel,
                                            .quantity = channel_quantity(channel),
                                            .unit = {channel_quantity(channel), factor, 0},
                                            .unit_symbol = "mV"};
    snprintf(stream.column[0].name, sizeof stream.column[0].name, "%s of %s", channel_name(channel), name);
    int64_t id = 0;
    CHECK(stream_add(book, &stream, &id, &message) == STATUS_OK);
    size_t n = 0;
    for (int k = 0; k < count; k++) {
        if (k >= gap_s && k < gap_s + 20)
            continue;
        t[n] = (struct decimal){from_ms + 1000 * k, 3, DECIMAL_NUMBER};
        x[n++] = (struct decimal){13200 - 7 * k, 0, DECIMAL_NUMBER};
    }
    struct block_columns readings = {.count = n, .columns = 2, .cells = {t, x}};
    CHECK(n == 0 || stream_append(book, id, &readings, &message) == STATUS_OK);
    return id;
}

static void add_event(struct book *book, int64_t run, enum event_kind kind, double t_s, double until_s,
                      int64_t stream, const char *words)
{
    char text[100];
    snprintf(text, sizeof text, "%s", words);
    struct book_event event = {
        .kind = kind, .t_s = t_s, .until_s = until_s, .stream = stream, .topic = "x", .text = text};
    CHECK(book_event_add(book, run, &event, &message) == STATUS_OK);
}

static const char *notice_with(const struct notices *notices, const char *part)
{
    for (size_t k = 0; k < notices->count; k++)
        if (strstr(notices->items[k].text, part) != NULL)
            return notices->items[k].text;
    return NULL;
}

TEST(instruments_become_one_series)
{
    struct scratch scratch;
    struct stored stored;
    int64_t run = add_run(&scratch, true);
    struct book *book = scratch.book;
    int64_t volts = add_stream(book, run, "bench meter", CHANNEL_VOLTAGE, 0.001, 250, 120, 50);
    (void)add_stream(book, run, "clamp", CHANNEL_CURRENT, 0.002, 0, 120, 500);
    (void)add_stream(book, run, "never spoke", CHANNEL_TEMPERATURE, 1, 0, 0, 0);
    (void)add_stream(book, run, "second meter", CHANNEL_VOLTAGE, 1, 0, 30, 500);
    add_event(book, run, EVENT_MARK, 12.5, NAN, 0, "inverter on");
    add_event(book, run, EVENT_LINE, 30, NAN, 0, "12.91 V by hand");
    add_event(book, run, EVENT_GAP, 49.25, 70.25, volts, "the cable was pulled");
    add_event(book, run, EVENT_CALL, 60, NAN, 0, "knee");
    CHECK(stored_read(book, run, &stored, &message) == STATUS_OK);
    const struct log *log = &stored.log;
    const struct series *series = &log->series;
    CHECK(!stored.by_eye && series->count == 120 && log->sign == SIGN_DISCHARGE_POSITIVE && log->invented);
    CHECK(series->start_utc_s == 1680516000 && series->zone_known && series->gap_count == 0);
    CHECK_NEAR(series->column[CHANNEL_CURRENT][7], (13200 - 49) * 0.002, 1e-12);
    CHECK_NEAR(series->column[CHANNEL_VOLTAGE][7], (13200 - 7 * 6.75) * 0.001, 1e-12);
    CHECK(isnan(series->column[CHANNEL_VOLTAGE][0]) && isnan(series->column[CHANNEL_VOLTAGE][60]));
    CHECK(!isnan(series->column[CHANNEL_VOLTAGE][71]) && !isnan(series->column[CHANNEL_VOLTAGE][49]));
    CHECK_NEAR(stored.skew_s, 0.25, 1e-9);
    CHECK(series->mark_count == 2);
    CHECK_TEXT(series->marks[0].words, "inverter on");
    CHECK_TEXT(series->marks[1].words, "typed: 12.91 V by hand");
    CHECK(notice_with(&log->notices, "nothing came from bench meter: the cable was pulled") != NULL);
    CHECK(notice_with(&log->notices, "still open") != NULL);
    CHECK(log->column_count == 5 && log->columns[1].role == COLUMN_CHANNEL &&
          log->columns[4].role == COLUMN_UNUSED);
    CHECK(strstr(log->columns[4].why, "second meter") != NULL && strstr(log->path, ":1") != NULL);
    stored_free(&stored);
    scratch_remove(&scratch);
}

TEST(lines_alone_are_readings_by_eye)
{
    struct scratch scratch;
    struct stored stored;
    int64_t run = add_run(&scratch, false);
    add_event(scratch.book, run, EVENT_LINE, 5, NAN, 0, "13.10 V  0.0 A");
    add_event(scratch.book, run, EVENT_MARK, 9.7, NAN, 0, "inverter on");
    add_event(scratch.book, run, EVENT_LINE, 65.4, NAN, 0, "12.91 V  24.8 A");
    add_event(scratch.book, run, EVENT_LINE, 9000, NAN, 0, "10.20 V  60.1 Ah");
    CHECK(stored_read(scratch.book, run, &stored, &message) == STATUS_OK);
    CHECK(stored.by_eye && stored.sightings.count == 4 && stored.sightings.direction == 1 &&
          stored.sightings.invented);
    CHECK_NEAR(stored.sightings.instants[3].t_s - stored.sightings.instants[0].t_s, 8995, 1);
    CHECK(stored.sightings.start_utc_s == 1680516000);
    stored_free(&stored);
    scratch_remove(&scratch);
}

TEST(a_run_without_readings_says_so)
{
    struct scratch scratch;
    struct stored stored;
    int64_t run = add_run(&scratch, false);
    CHECK(stored_read(scratch.book, run, &stored, &message) == STATUS_UNREADABLE);
    CHECK(strstr(message.what, "holds no readings") != NULL && strstr(message.file, ":1") != NULL);
    (void)add_stream(scratch.book, run, "never spoke", CHANNEL_VOLTAGE, 1, 0, 0, 0);
    add_event(scratch.book, run, EVENT_MARK, 1, NAN, 0, "alone");
    CHECK(stored_read(scratch.book, run, &stored, &message) == STATUS_UNREADABLE);
    scratch_remove(&scratch);
}

/* What a log's reader said is read with care: every way to spoil it gives a message or another log, never a crash. */
TEST(spoilt_words_of_a_log)
{
    struct scratch scratch;
    struct log log;
    struct log_options options = {.digits = true};
    struct text words = TEXT_EMPTY;
    int64_t run = 0;
    size_t refused = 0;
    scratch_open(&scratch);
    struct stored_request request = {.run = {.kind = TEST_DISCHARGE}};
    CHECK(book_sample_add(scratch.book, "hut pack", true, 1, &request.run.sample, &message) == STATUS_OK);
    CHECK(log_read("demo/hut-pack.log.csv", &options, &log, &message) == STATUS_OK);
    CHECK(stored_log(scratch.book, &request, &log, &run, &message) == STATUS_OK);
    log_free(&log);
    CHECK(book_run_text_get(scratch.book, run, "log", &words, &message) == STATUS_OK && words.length > 500);
    for (size_t at = 0; at < words.length; at += 41) {
        struct stored stored;
        char kept = words.s[at];
        words.s[at] = "{\"9[-"[at % 5];
        CHECK(book_run_text_put(scratch.book, run, "log", (struct span){words.s, words.length}, &message) ==
              STATUS_OK);
        words.s[at] = kept;
        message = (struct message){0};
        if (stored_read(scratch.book, run, &stored, &message) == STATUS_OK) {
            stored_free(&stored);
            continue;
        }
        refused++;
        CHECK(message.what[0] != '\0' && message.file[0] != '\0');
    }
    CHECK(refused > 20);
    text_free(&words);
    scratch_remove(&scratch);
}
