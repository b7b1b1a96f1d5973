#include "check.h"

#include "book/book_run.h"
#include "book/correction.h"
#include "book/sample.h"
#include "unit/book/scratch_book.h"

static const int64_t noon_ns = 1790000000123456789;

static int64_t add_sample(struct book *book, const char *name)
{
    int64_t id = 0;
    CHECK(book_sample_add(book, name, true, noon_ns, &id, NULL) == STATUS_OK);
    return id;
}

static struct book_run discharge(int64_t sample)
{
    return (struct book_run){.sample = sample, .kind = TEST_DISCHARGE, .origin = TEST_IMPORTED, .name = "hut.csv",
                             .start_utc_s = 1789999000.25, .zone_known = true, .end_s = 8123.5, .invented = true,
                             .added_utc_ns = noon_ns};
}

TEST(a_run_comes_back_as_it_was_given)
{
    struct scratch scratch;
    struct message message = {0};
    int64_t id = 0, open_id = 0;
    scratch_open(&scratch);
    struct book_run run = discharge(add_sample(scratch.book, "Hut pack 014")), got;
    CHECK(book_run_add(scratch.book, &run, &id, NULL) == STATUS_OK);
    CHECK(book_run_get(scratch.book, id, &got, NULL) == STATUS_OK);
    CHECK(got.id == id && got.sample == run.sample && got.kind == TEST_DISCHARGE && got.origin == TEST_IMPORTED);
    CHECK(got.start_utc_s == run.start_utc_s && got.end_s == run.end_s && got.zone_known && got.invented && !got.open);
    CHECK_TEXT(got.name, "hut.csv");
    run = (struct book_run){.sample = run.sample, .kind = TEST_WHOLE, .origin = TEST_RECORDED, .open = true,
                            .start_utc_s = NAN, .end_s = NAN, .added_utc_ns = noon_ns + 5};
    CHECK(book_run_add(scratch.book, &run, &open_id, NULL) == STATUS_OK);
    CHECK(book_run_get(scratch.book, open_id, &got, NULL) == STATUS_OK);
    CHECK(got.open && isnan(got.start_utc_s) && isnan(got.end_s));
    CHECK(book_run_close(scratch.book, open_id, 17.25, NULL) == STATUS_OK);
    CHECK(book_run_get(scratch.book, open_id, &got, NULL) == STATUS_OK && !got.open && got.end_s == 17.25);
    CHECK(book_run_get(scratch.book, 99, &got, &message) == STATUS_USAGE && strstr(message.what, "no run 99") != NULL);
    CHECK(book_run_close(scratch.book, 99, 1, NULL) == STATUS_USAGE);
    run.sample = 4711; /* no such sample: foreign keys hold */
    CHECK(book_run_add(scratch.book, &run, &id, NULL) == STATUS_MALFORMED);
    scratch_remove(&scratch);
}

TEST(runs_are_listed_in_the_order_of_their_start)
{
    struct scratch scratch;
    struct book_run_list list = {0};
    scratch_open(&scratch);
    int64_t one = add_sample(scratch.book, "one"), two = add_sample(scratch.book, "two"), id = 0;
    static const double starts[] = {500, 100, NAN, 300};
    for (int k = 0; k < 4; k++) {
        struct book_run run = discharge(k == 3 ? two : one);
        run.start_utc_s = starts[k];
        run.added_utc_ns = 400 * INT64_C(1000000000); /* where the one without a start stands */
        CHECK(book_run_add(scratch.book, &run, &id, NULL) == STATUS_OK);
    }
    CHECK(book_runs(scratch.book, 0, &list, NULL) == STATUS_OK && list.count == 4);
    if (list.count == 4)
        CHECK(list.items[0].id == 2 && list.items[1].id == 4 && list.items[2].id == 3 && list.items[3].id == 1);
    book_run_list_free(&list);
    CHECK(book_runs(scratch.book, two, &list, NULL) == STATUS_OK && list.count == 1);
    book_run_list_free(&list);
    struct book_sample sample;
    CHECK(book_sample_by_id(scratch.book, one, &sample, NULL) == STATUS_OK && sample.runs == 3);
    scratch_remove(&scratch);
}

TEST(corrections_keep_what_stood_before)
{
    struct scratch scratch;
    struct correction_list list = {0};
    struct message message = {0};
    int64_t id = 0, label = 0, rig = 0;
    char number[24];
    scratch_open(&scratch);
    struct book_run run = discharge(add_sample(scratch.book, "one")), got;
    int64_t other = add_sample(scratch.book, "two");
    CHECK(book_run_add(scratch.book, &run, &id, NULL) == STATUS_OK);
    CHECK(document_put(scratch.book, run.sample, DOCUMENT_LABEL, "label", span_of("x"), 1, &label, NULL) == STATUS_OK);
    CHECK(document_put(scratch.book, 0, DOCUMENT_RIG, "bench", span_of("y"), 1, &rig, NULL) == STATUS_OK);
    CHECK(book_run_correct(scratch.book, id, "kind", "charge", noon_ns, NULL) == STATUS_OK);
    CHECK(book_run_correct(scratch.book, id, "name", "", noon_ns, NULL) == STATUS_OK);
    snprintf(number, sizeof number, "%lld", (long long)label);
    CHECK(book_run_correct(scratch.book, id, "label", number, noon_ns, NULL) == STATUS_OK);
    CHECK(book_run_correct(scratch.book, id, "rig", number, noon_ns, &message) == STATUS_USAGE); /* that is a label */
    snprintf(number, sizeof number, "%lld", (long long)other);
    CHECK(book_run_correct(scratch.book, id, "sample", number, noon_ns, NULL) == STATUS_OK);
    static const char *const bad[][2] = {{"kind", "dischrage"}, {"start", "1"}, {"sample", "0"}, {"sample", "77"},
                                         {"label", "1e99"}, {"label", "one"}, {"rig", "-1"}, {"label", "88"}};
    for (size_t k = 0; k < sizeof bad / sizeof bad[0]; k++)
        CHECK(book_run_correct(scratch.book, id, bad[k][0], bad[k][1], noon_ns, NULL) == STATUS_USAGE);
    CHECK(book_run_get(scratch.book, id, &got, NULL) == STATUS_OK);
    CHECK(got.kind == TEST_CHARGE && got.sample == other && got.label_document == label && got.rig_document == 0);
    CHECK(book_corrections(scratch.book, 0, id, &list, NULL) == STATUS_OK && list.count == 4);
    if (list.count == 4) {
        CHECK_TEXT(list.items[0].before, "discharge");
        CHECK_TEXT(list.items[0].after, "charge");
        CHECK_TEXT(list.items[1].before, "hut.csv");
        CHECK_TEXT(list.items[2].before, "0");
    }
    correction_list_free(&list);
    /* The label belongs to the first sample, the run no longer: removing the sample would take the label away. */
    CHECK(book_sample_remove(scratch.book, run.sample, &message) == STATUS_USAGE);
    CHECK(strstr(message.what, "run 1 of another sample") != NULL);
    CHECK(book_sample_remove(scratch.book, other, NULL) == STATUS_OK);
    CHECK(book_sample_remove(scratch.book, run.sample, NULL) == STATUS_OK);
    CHECK(book_run_get(scratch.book, id, &got, NULL) == STATUS_USAGE);
    scratch_remove(&scratch);
}

TEST(a_number_is_never_given_twice)
{
    struct scratch scratch;
    int64_t first = 0, second = 0;
    scratch_open(&scratch);
    struct book_run run = discharge(add_sample(scratch.book, "one"));
    CHECK(book_run_add(scratch.book, &run, &first, NULL) == STATUS_OK);
    CHECK(book_run_remove(scratch.book, first, NULL) == STATUS_OK);
    CHECK(book_run_remove(scratch.book, first, NULL) == STATUS_USAGE);
    CHECK(book_run_add(scratch.book, &run, &second, NULL) == STATUS_OK && second > first);
    scratch_remove(&scratch);
}

TEST(events_texts_and_findings)
{
    struct scratch scratch;
    struct book_event_list list = {0};
    struct text text = TEXT_EMPTY, method = TEXT_EMPTY;
    int64_t id = 0;
    scratch_open(&scratch);
    struct book_run run = discharge(add_sample(scratch.book, "one"));
    CHECK(book_run_add(scratch.book, &run, &id, NULL) == STATUS_OK);
    char words[] = "10:31:05 12.91 V, 58 A \xE2\x80\x94 \"burst\"";
    struct book_event events[] = {
        {.kind = EVENT_LINE, .t_s = 31.5, .until_s = NAN, .topic = "typed", .text = words},
        {.kind = EVENT_GAP, .t_s = 4.25, .until_s = 9.75, .topic = "instrument silent"},
        {.kind = EVENT_MARK, .t_s = 31.5, .until_s = NAN, .topic = "mark", .text = words},
    };
    for (int k = 0; k < 3; k++)
        CHECK(book_event_add(scratch.book, id, &events[k], NULL) == STATUS_OK);
    CHECK(book_events(scratch.book, id, &list, NULL) == STATUS_OK && list.count == 3);
    if (list.count == 3) {
        CHECK(list.items[0].kind == EVENT_GAP && list.items[0].until_s == 9.75);
        CHECK_TEXT(list.items[0].text, "");
        CHECK(list.items[1].kind == EVENT_LINE && isnan(list.items[1].until_s));
        CHECK_TEXT(list.items[1].text, words);
        CHECK(list.items[2].kind == EVENT_MARK);
    }
    book_event_list_free(&list);
    static const char bytes[] = "a\0b";
    CHECK(book_run_text_put(scratch.book, id, "columns", span_of("first"), NULL) == STATUS_OK);
    CHECK(book_run_text_put(scratch.book, id, "columns", (struct span){bytes, 3}, NULL) == STATUS_OK);
    CHECK(book_run_text_get(scratch.book, id, "columns", &text, NULL) == STATUS_OK);
    CHECK(text.length == 3 && memcmp(text.s, bytes, 3) == 0);
    text_free(&text);
    CHECK(book_run_text_get(scratch.book, id, "readings", &text, NULL) == STATUS_OK && text.length == 0);
    CHECK(finding_latest(scratch.book, id, &method, &text, NULL) == STATUS_OK && text.length == 0);
    CHECK(finding_put(scratch.book, id, "0.1.0", span_of("{}"), noon_ns, NULL) == STATUS_OK);
    CHECK(finding_put(scratch.book, id, "0.2.0", span_of("{\"ah\":98.7}"), noon_ns, NULL) == STATUS_OK);
    CHECK(finding_latest(scratch.book, id, &method, &text, NULL) == STATUS_OK);
    CHECK_TEXT(text_string(&method), "0.2.0");
    CHECK_TEXT(text_string(&text), "{\"ah\":98.7}");
    text_free(&method);
    text_free(&text);
    scratch_remove(&scratch);
}
