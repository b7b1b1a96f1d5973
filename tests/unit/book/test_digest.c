#include "check.h"

#include "book/book_run.h"
#include "book/digest.h"
#include "unit/book/scratch_book.h"

static const char method[] = "method 1", found[] = "{\"ah\":98.7}";

struct seen {
    int rows, fresh, runs, open_runs;
    double tested_utc_s;
    char names[200], json[64];
};

static bool look(void *context, const struct digest_row *row)
{
    struct seen *seen = context;
    size_t length = strlen(seen->names);
    snprintf(seen->names + length, sizeof seen->names - length, "%s;", row->sample.name);
    snprintf(seen->json, sizeof seen->json, "%.*s", (int)row->json.n, row->json.n > 0 ? row->json.p : "");
    seen->rows++;
    seen->fresh += row->fresh;
    seen->runs = row->sample.runs;
    seen->open_runs = row->open_runs;
    seen->tested_utc_s = row->tested_utc_s;
    return true;
}

static struct seen walk(struct book *book, int64_t sample, const char *by)
{
    struct seen seen = {0};
    CHECK(digest_walk(book, sample, by, look, &seen, NULL) == STATUS_OK);
    return seen;
}

static bool fresh(struct book *book, int64_t sample)
{
    return walk(book, sample, method).fresh == 1;
}

static void make(struct book *book, int64_t sample)
{
    struct text basis = TEXT_EMPTY;
    CHECK(digest_basis(book, sample, &basis, NULL) == STATUS_OK && basis.length > 0);
    CHECK(digest_put(book, sample, method, (struct span){basis.s, basis.length}, span_of(found), 7, NULL) == STATUS_OK);
    text_free(&basis);
    CHECK(fresh(book, sample));
}

/* Stale now; then made anew. */
static void changed(struct book *book, int64_t sample, const char *by)
{
    if (fresh(book, sample))
        printf("    still fresh after %s\n", by);
    CHECK(!fresh(book, sample));
    CHECK_TEXT(walk(book, sample, method).json, found); /* what was found before is still there */
    make(book, sample);
}

static int64_t add_run(struct book *book, int64_t sample)
{
    int64_t id = 0;
    struct book_run run = {.sample = sample, .kind = TEST_DISCHARGE, .origin = TEST_TYPED, .name = "by eye",
                           .start_utc_s = 1789999000.25, .zone_known = true, .open = true, .end_s = NAN,
                           .invented = true, .added_utc_ns = 1};
    CHECK(book_run_add(book, &run, &id, NULL) == STATUS_OK);
    return id;
}

TEST(samples_come_in_the_order_of_their_names_with_or_without_a_digest)
{
    struct scratch scratch;
    int64_t second = 0, first = 0;
    scratch_open(&scratch);
    CHECK(book_sample_add(scratch.book, "hut pack 2", true, 1, &second, NULL) == STATUS_OK);
    CHECK(book_sample_add(scratch.book, "Hut_Pack 1", true, 1, &first, NULL) == STATUS_OK);
    make(scratch.book, second);
    struct seen seen = walk(scratch.book, 0, method);
    CHECK(seen.rows == 2 && seen.fresh == 1);
    CHECK_TEXT(seen.names, "Hut_Pack 1;hut pack 2;");
    CHECK_TEXT(seen.json, found);
    seen = walk(scratch.book, first, method);
    CHECK(seen.rows == 1 && seen.fresh == 0 && seen.json[0] == '\0' && isnan(seen.tested_utc_s));
    CHECK(walk(scratch.book, 0, "method 2").fresh == 0);
    scratch_remove(&scratch);
}

TEST(whatever_an_assessment_rests_on_makes_a_digest_stale)
{
    struct scratch scratch;
    int64_t sample = 0, id = 0, rig = 0;
    struct book_event mark = {.kind = EVENT_MARK, .t_s = 12.5, .until_s = NAN, .topic = "mark"};
    scratch_open(&scratch);
    struct book *book = scratch.book;
    CHECK(book_sample_add(book, "Hut pack 1", true, 1, &sample, NULL) == STATUS_OK);
    make(book, sample);
    CHECK(document_put(book, sample, DOCUMENT_LABEL, "label", span_of("[claims]\n"), 2, &id, NULL) == STATUS_OK);
    changed(book, sample, "a label");
    CHECK(document_put(book, sample, DOCUMENT_LABEL, "label", span_of("[claims]\nmass = 1 kg\n"), 3, &id, NULL) == STATUS_OK);
    changed(book, sample, "a newer label");
    int64_t run = add_run(book, sample);
    changed(book, sample, "a run");
    CHECK(book_run_text_put(book, run, "readings", span_of("12.9 V"), NULL) == STATUS_OK);
    changed(book, sample, "typed readings");
    CHECK(book_event_add(book, run, &mark, NULL) == STATUS_OK);
    changed(book, sample, "a mark");
    CHECK(book_run_close(book, run, 3600, NULL) == STATUS_OK);
    changed(book, sample, "the end of a recording");
    CHECK(document_put(book, 0, DOCUMENT_RIG, "bench.rig", span_of("[voltage]\n"), 4, &rig, NULL) == STATUS_OK);
    CHECK(fresh(book, sample)); /* a rig that no run goes by */
    char number[32];
    snprintf(number, sizeof number, "%lld", (long long)rig);
    CHECK(book_run_correct(book, run, "rig", number, 5, NULL) == STATUS_OK);
    changed(book, sample, "another rig");
    CHECK(book_run_correct(book, run, "kind", "whole", 6, NULL) == STATUS_OK);
    changed(book, sample, "another kind");
    CHECK(book_sample_rename(book, sample, "Hut pack 01", 7, NULL) == STATUS_OK);
    changed(book, sample, "another name");
    CHECK(document_put(book, sample, DOCUMENT_OPENED, "opened", span_of("[opened]\n"), 8, &id, NULL) == STATUS_OK);
    changed(book, sample, "what was seen in it");
    CHECK(document_put(book, sample, DOCUMENT_SUMMARY, "summary", span_of("Sound."), 8, &id, NULL) == STATUS_OK);
    changed(book, sample, "the tester's summary");
    CHECK(document_put(book, sample, DOCUMENT_NOTE, "note", span_of("seen"), 8, &id, NULL) == STATUS_OK);
    CHECK(fresh(book, sample)); /* nothing is read from a note */
    CHECK(book_run_remove(book, run, NULL) == STATUS_OK);
    changed(book, sample, "a run that went");
    scratch_remove(&scratch);
}

TEST(a_run_that_moves_makes_both_samples_stale)
{
    struct scratch scratch;
    int64_t from = 0, to = 0;
    char number[32];
    scratch_open(&scratch);
    CHECK(book_sample_add(scratch.book, "Hut pack 1", true, 1, &from, NULL) == STATUS_OK);
    CHECK(book_sample_add(scratch.book, "Hut pack 2", true, 1, &to, NULL) == STATUS_OK);
    int64_t run = add_run(scratch.book, from);
    make(scratch.book, from);
    make(scratch.book, to);
    snprintf(number, sizeof number, "%lld", (long long)to);
    CHECK(book_run_correct(scratch.book, run, "sample", number, 2, NULL) == STATUS_OK);
    changed(scratch.book, from, "its run moved away");
    changed(scratch.book, to, "a run moved here");
    struct seen seen = walk(scratch.book, to, method);
    CHECK(seen.runs == 1 && seen.open_runs == 1 && seen.tested_utc_s == 1789999000.25);
    scratch_remove(&scratch);
}

TEST(what_changed_while_it_was_made_leaves_it_stale_and_a_removed_sample_leaves_nothing)
{
    struct scratch scratch;
    struct text basis = TEXT_EMPTY;
    int64_t sample = 0;
    scratch_open(&scratch);
    CHECK(book_sample_add(scratch.book, "Hut pack 1", true, 1, &sample, NULL) == STATUS_OK);
    CHECK(digest_basis(scratch.book, sample, &basis, NULL) == STATUS_OK);
    add_run(scratch.book, sample);
    struct span before = {basis.s, basis.length};
    CHECK(digest_put(scratch.book, sample, method, before, span_of(found), 7, NULL) == STATUS_OK);
    CHECK(!fresh(scratch.book, sample));
    CHECK(book_sample_remove(scratch.book, sample, NULL) == STATUS_OK);
    CHECK(digest_put(scratch.book, sample, method, before, span_of(found), 8, NULL) == STATUS_OK);
    CHECK(walk(scratch.book, 0, method).rows == 0);
    text_free(&basis);
    scratch_remove(&scratch);
}
