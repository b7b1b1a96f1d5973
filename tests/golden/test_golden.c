/* A book of every form that ever was stands in this folder: each opens, is brought up to date, checks, and holds what
 * was put in. What a form to come will do is tried with steps that are made up. */
#include "check.h"

#include "book/backup.h"
#include "book/correction.h"
#include "book/digest.h"
#include "book/picture.h"
#include "book/schema.h"
#include "book/tables.h"
#include "golden/golden_book.h"
#include "unit/book/scratch_book.h"

static void copy_file(const char *from, const char *to)
{
    struct text text = TEXT_EMPTY;
    CHECK(text_read_file(from, 1 << 26, &text) == 0);
    FILE *file = fopen(to, "wb");
    CHECK(file != NULL && fwrite(text.s, 1, text.length, file) == text.length && fclose(file) == 0);
    text_free(&text);
}

static void look_at_sample(struct book *book, size_t papers)
{
    struct book_sample sample;
    struct correction_list corrections = {0};
    struct document document = {0};
    int64_t *ids = NULL;
    size_t count = 0;
    CHECK(book_sample_find(book, golden_name, &sample, NULL) == STATUS_OK);
    CHECK(sample.invented && sample.runs == 1 && sample.added_utc_ns == golden_utc_ns);
    CHECK(book_corrections(book, sample.id, 0, &corrections, NULL) == STATUS_OK && corrections.count == 1);
    if (corrections.count == 1)
        CHECK_TEXT(corrections.items[0].before, golden_sample);
    correction_list_free(&corrections);
    CHECK(document_list(book, sample.id, &ids, &count, NULL) == STATUS_OK && count == papers);
    int64_t label = count > 0 ? ids[0] : 0;
    free(ids);
    CHECK(document_versions(book, label, &ids, &count, NULL) == STATUS_OK && count == 2);
    for (size_t k = 0; k < count && k < 2; k++) {
        CHECK(document_get(book, ids[k], &document, NULL) == STATUS_OK);
        CHECK_TEXT(text_string(&document.text), k == 0 ? golden_label_before : golden_label);
        document_free(&document);
    }
    free(ids);
    CHECK(document_latest(book, 0, DOCUMENT_RIG, "bench.rig", &label, NULL) == STATUS_OK);
    CHECK(document_get(book, label, &document, NULL) == STATUS_OK);
    CHECK_TEXT(text_string(&document.text), golden_rig);
    document_free(&document);
}

static void look_at_inspection(struct book *book, int form)
{
    struct picture picture = {0};
    struct document document = {0};
    struct picture_list list = {0};
    int64_t id = 0;
    CHECK(picture_get(book, 1, &picture, NULL) == STATUS_OK && picture.run == 1);
    CHECK(picture.bytes.length == sizeof golden_picture &&
          memcmp(picture.bytes.s, golden_picture, sizeof golden_picture) == 0);
    CHECK_TEXT(picture.item, form < 3 ? "" : "bus-bar");
    CHECK(picture.shown == (form >= 3));
    picture_free(&picture);
    CHECK(book_pictures(book, 1, &list, NULL) == STATUS_OK && list.count == 1);
    picture_list_free(&list);
    enum document_kind kind = form < 3 ? DOCUMENT_NOTE : DOCUMENT_OPENED;
    if (book_access_of(book) == BOOK_READ && form < 3)
        return; /* seen once the book is brought up to date */
    CHECK(document_latest(book, 1, kind, NULL, &id, NULL) == STATUS_OK && document_get(book, id, &document, NULL) == STATUS_OK);
    CHECK_TEXT(text_string(&document.text), form < 3 ? golden_note : golden_opened);
    document_free(&document);
}

static void look_at_run(struct book *book)
{
    struct book_run run;
    struct book_event_list events = {0};
    struct text text = TEXT_EMPTY, method = TEXT_EMPTY;
    struct invented_seen seen = {0};
    CHECK(book_run_get(book, 1, &run, NULL) == STATUS_OK);
    CHECK(run.kind == TEST_DISCHARGE && run.open && run.start_utc_s == 1789999000.25);
    CHECK(run.end_s == decimal_value(invented_cell(GOLDEN_READINGS - 1, 0)));
    CHECK(stream_walk(book, 1, -INFINITY, INFINITY, invented_compare, &seen, NULL) == STATUS_OK);
    CHECK(seen.wrong == 0 && seen.next == GOLDEN_READINGS);
    CHECK(book_events(book, 1, &events, NULL) == STATUS_OK && events.count == 2);
    if (events.count == 2) {
        CHECK(events.items[0].kind == EVENT_GAP && events.items[0].stream == 1);
        CHECK_TEXT(events.items[1].text, golden_line);
    }
    book_event_list_free(&events);
    CHECK(book_run_text_get(book, 1, "columns", &text, NULL) == STATUS_OK);
    CHECK_TEXT(text_string(&text), golden_columns);
    text_free(&text);
    CHECK(finding_latest(book, 1, &method, &text, NULL) == STATUS_OK);
    CHECK_TEXT(text_string(&text), golden_finding);
    text_free(&text);
    text_free(&method);
}

static bool look_at_row(void *context, const struct digest_row *row)
{
    const int *form = context;
    CHECK_TEXT(row->sample.name, golden_name);
    CHECK(row->json.n == (*form > 1 ? strlen(golden_digest) : 0));
    return true;
}

static void tell(void *context, const char *fault)
{
    printf("    %s\n", fault);
}

TEST(a_book_of_every_form_opens_and_holds_what_it_held)
{
    for (int form = 1; form <= BOOK_FORM; form++) {
        struct scratch scratch;
        char golden[64];
        struct book_options options = writing();
        long faults = -1;
        scratch_make(&scratch);
        snprintf(golden, sizeof golden, "tests/golden/form-%d.book", form);
        copy_file(golden, scratch.path);
        CHECK(book_open(scratch.path, &options, &scratch.book, NULL) == STATUS_OK);
        CHECK(book_check(scratch.book, tell, NULL, NULL, &faults, NULL) == STATUS_OK && faults == 0);
        look_at_sample(scratch.book, 2);
        look_at_inspection(scratch.book, form);
        look_at_run(scratch.book);
        CHECK(digest_walk(scratch.book, 0, "0.1.0", look_at_row, &form, NULL) == STATUS_OK);
        scratch_remove(&scratch);
    }
}

TEST(a_book_of_an_older_form_is_read_as_it_stands)
{
    for (int form = 1; form < BOOK_FORM; form++) {
        struct scratch scratch;
        struct book_options options = reading();
        char golden[64], copy[300];
        scratch_make(&scratch);
        snprintf(golden, sizeof golden, "tests/golden/form-%d.book", form);
        copy_file(golden, scratch.path);
        CHECK(book_open(scratch.path, &options, &scratch.book, NULL) == STATUS_OK);
        look_at_sample(scratch.book, 1);
        look_at_inspection(scratch.book, form);
        look_at_run(scratch.book);
        CHECK(digest_walk(scratch.book, 0, "0.1.0", look_at_row, &form, NULL) == STATUS_OK);
        snprintf(copy, sizeof copy, "%s.before-%d", scratch.path, BOOK_FORM);
        CHECK(access(copy, F_OK) != 0);
        scratch_remove(&scratch);
    }
}

TEST(a_number_that_was_given_is_not_given_again_though_its_table_was_made_anew)
{
    struct scratch scratch;
    struct book_options options = writing();
    struct message message = {0};
    int64_t sample = 0, paper = 0, again = 0;
    scratch_make(&scratch);
    CHECK(book_create_old(scratch.path, &options, 2, &scratch.book, &message) == STATUS_OK);
    CHECK(book_sample_add(scratch.book, golden_sample, true, 1, &sample, NULL) == STATUS_OK);
    CHECK(document_put(scratch.book, sample, DOCUMENT_LABEL, "label", span_of(golden_label), 1, &paper, NULL) == STATUS_OK);
    CHECK(book_sample_remove(scratch.book, sample, NULL) == STATUS_OK); /* its papers with it */
    CHECK(book_bring_up(scratch.book, &message) == STATUS_OK);
    CHECK(document_put(scratch.book, 0, DOCUMENT_RIG, "bench.rig", span_of(golden_rig), 2, &again, NULL) == STATUS_OK);
    CHECK(again == paper + 1);
    CHECK(document_put(scratch.book, 4711, DOCUMENT_OPENED, "opened", span_of("x"), 2, &again, NULL) != STATUS_OK);
    scratch_remove(&scratch); /* foreign keys are on again: there is no sample 4711 */
}

static bool there(const char *path)
{
    return access(path, F_OK) == 0;
}

/* One form more than the present one, made up. */
static void upgrade(struct scratch *scratch, const char *const *statements, enum status wanted)
{
    const char *const *steps[BOOK_FORM + 1];
    struct message message = {0};
    memcpy(steps, schema_steps, sizeof schema_steps);
    steps[BOOK_FORM] = statements;
    CHECK(book_upgrade(scratch->book, steps, BOOK_FORM, BOOK_FORM + 1, &message) == wanted);
    CHECK(wanted == STATUS_OK || message.what[0] != '\0');
}

TEST(an_older_form_is_brought_up_to_date_after_a_copy)
{
    static const char *const next[] = {"ALTER TABLE sample ADD COLUMN shelf TEXT NOT NULL DEFAULT ''",
                                       "CREATE TABLE visitor (id INTEGER PRIMARY KEY) STRICT", NULL};
    struct scratch scratch;
    struct message message = {0};
    struct book_options options = writing();
    char copy[300];
    int64_t id = 0;
    scratch_open(&scratch);
    snprintf(copy, sizeof copy, "%s.before-%d", scratch.path, BOOK_FORM + 1);
    CHECK(book_sample_add(scratch.book, golden_sample, true, 1, &id, NULL) == STATUS_OK);
    upgrade(&scratch, next, STATUS_OK);
    book_close(scratch.book);
    scratch.book = NULL;
    CHECK(book_open(scratch.path, &options, &scratch.book, &message) == STATUS_UNREADABLE); /* now it is newer */
    CHECK(strstr(message.what, "newer than this program") != NULL);
    CHECK(there(copy) && book_open(copy, &options, &scratch.book, NULL) == STATUS_OK); /* as it was before */
    struct book_sample sample;
    CHECK(book_sample_find(scratch.book, golden_sample, &sample, NULL) == STATUS_OK);
    scratch_remove(&scratch);
}

TEST(an_upgrade_that_fails_leaves_the_book_as_it_was)
{
    static const char *const next[] = {"CREATE TABLE visitor (id INTEGER PRIMARY KEY) STRICT",
                                       "ALTER TABLE nowhere ADD COLUMN shelf TEXT", NULL};
    struct scratch scratch;
    struct book_options options = writing();
    int64_t id = 0;
    scratch_open(&scratch);
    CHECK(book_sample_add(scratch.book, golden_sample, true, 1, &id, NULL) == STATUS_OK);
    upgrade(&scratch, next, STATUS_UNREADABLE);
    upgrade(&scratch, next, STATUS_UNREADABLE); /* the copy of the first attempt is not replaced */
    book_close(scratch.book);
    CHECK(book_open(scratch.path, &options, &scratch.book, NULL) == STATUS_OK);
    struct book_sample sample;
    CHECK(book_sample_find(scratch.book, golden_sample, &sample, NULL) == STATUS_OK);
    scratch_remove(&scratch);
}
