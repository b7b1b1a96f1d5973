#include "check.h"

#include "book/book_run.h"
#include "book/rests_on.h"
#include "book/sample.h"
#include "book/stream.h"
#include "scratch_book.h"

static struct message message;

struct held {
    struct scratch scratch;
    struct rests_on before;
    int64_t sample, run, stream;
};

static void look(struct held *held)
{
    rests_on_free(&held->before);
    CHECK(book_rests_on(held->scratch.book, held->sample, 0, &held->before, &message) == STATUS_OK);
}

enum { NOTHING = 0, SETTLED = 1, OPEN = 2 };

/* What has changed since; looks anew. */
static int changed(struct held *held)
{
    struct rests_on now;
    CHECK(book_rests_on(held->scratch.book, held->sample, 0, &now, &message) == STATUS_OK);
    int what = strcmp(text_string(&now.settled), text_string(&held->before.settled)) != 0 ? SETTLED : NOTHING;
    what |= strcmp(text_string(&now.open), text_string(&held->before.open)) != 0 ? OPEN : NOTHING;
    rests_on_free(&held->before);
    held->before = now;
    return what;
}

static void begin(struct held *held)
{
    *held = (struct held){.run = 0};
    scratch_open(&held->scratch);
    CHECK(book_sample_add(held->scratch.book, "hut pack", true, 1, &held->sample, &message) == STATUS_OK);
    struct book_run run = {.sample = held->sample, .kind = TEST_DISCHARGE, .origin = TEST_RECORDED, .name = "evening",
                           .start_utc_s = 1680516000.25, .zone_known = true, .open = true, .end_s = NAN};
    CHECK(book_run_add(held->scratch.book, &run, &held->run, &message) == STATUS_OK);
    struct book_stream stream = {.run = held->run, .name = "meter", .columns = 1};
    stream.column[0] = (struct book_column){.name = "volts", .channel = CHANNEL_VOLTAGE, .quantity = QUANTITY_VOLTAGE,
                                            .unit = {QUANTITY_VOLTAGE, 1, 0}, .unit_symbol = "V"};
    CHECK(stream_add(held->scratch.book, &stream, &held->stream, &message) == STATUS_OK);
    look(held);
}

static void end(struct held *held)
{
    rests_on_free(&held->before);
    scratch_remove(&held->scratch);
}

static void read_on(struct held *held, int64_t at_s)
{
    struct decimal t = {at_s, 0, DECIMAL_NUMBER}, v = {13250 - at_s, 3, DECIMAL_NUMBER};
    struct block_columns one = {.count = 1, .columns = 2, .cells = {&t, &v}};
    CHECK(stream_append(held->scratch.book, held->stream, &one, &message) == STATUS_OK);
}

TEST(readings_of_an_open_run_stand_apart)
{
    struct held held;
    begin(&held);
    CHECK(changed(&held) == NOTHING);
    read_on(&held, 1);
    CHECK(changed(&held) == OPEN);
    read_on(&held, 3);
    CHECK(changed(&held) == OPEN);
    CHECK(book_run_close(held.scratch.book, held.run, 3, &message) == STATUS_OK);
    CHECK((changed(&held) & SETTLED) != 0);
    CHECK_TEXT(text_string(&held.before.open), "");
    end(&held);
}

TEST(what_an_assessment_reads_counts_and_nothing_else)
{
    struct held held;
    int64_t id = 0, other = 0;
    begin(&held);
    struct book *book = held.scratch.book;
    CHECK(document_put(book, held.sample, DOCUMENT_LABEL, "label", span_of("[claims]\n"), 2, &id, &message) == STATUS_OK);
    CHECK(changed(&held) == SETTLED);
    CHECK(document_put(book, held.sample, DOCUMENT_LABEL, "label", span_of("[claims]\n"), 3, &id, &message) == STATUS_OK);
    CHECK(document_put(book, held.sample, DOCUMENT_NOTE, "note", span_of("lent\n"), 3, &id, &message) == STATUS_OK);
    CHECK(finding_put(book, held.run, "rundown 0", span_of("{}"), 4, &message) == STATUS_OK);
    CHECK(book_sample_add(book, "another", false, 4, &other, &message) == STATUS_OK);
    CHECK(changed(&held) == NOTHING);
    struct book_event mark = {.kind = EVENT_MARK, .t_s = 2.5, .until_s = NAN, .topic = "mark", .text = NULL};
    CHECK(book_event_add(book, held.run, &mark, &message) == STATUS_OK);
    CHECK(changed(&held) == SETTLED);
    CHECK(book_run_text_put(book, held.run, "log", span_of("{\"a\": 1}"), &message) == STATUS_OK);
    CHECK(changed(&held) == SETTLED);
    CHECK(book_run_correct(book, held.run, "kind", "charge", 5, &message) == STATUS_OK);
    CHECK(changed(&held) == SETTLED);
    CHECK(book_run_remove(book, held.run, &message) == STATUS_OK);
    CHECK((changed(&held) & SETTLED) != 0);
    end(&held);
}

TEST(what_there_is_not)
{
    struct held held;
    struct rests_on none;
    int64_t other = 0;
    begin(&held);
    CHECK(book_sample_add(held.scratch.book, "another", false, 4, &other, &message) == STATUS_OK);
    CHECK(book_rests_on(held.scratch.book, 99, 0, &none, &message) == STATUS_USAGE);
    CHECK(book_rests_on(held.scratch.book, 0, 99, &none, &message) == STATUS_USAGE);
    CHECK(book_rests_on(held.scratch.book, other, held.run, &none, &message) == STATUS_USAGE);
    CHECK(book_rests_on(held.scratch.book, 0, held.run, &none, &message) == STATUS_OK);
    rests_on_free(&none);
    end(&held);
}
