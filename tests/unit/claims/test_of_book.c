#include "unit/web/made_book.h"

#include "claims/of_book.h"

static const char opened[] = "[opened]\ndate = 2026-03-02\ninvented = yes\n\n[conductor main lead]\nsize = 10 AWG, copper\n"
                             "length = 250 mm\nopinion = neat\n";

static void put(struct book *book, int64_t sample, enum document_kind kind, const char *text)
{
    int64_t id = 0;
    CHECK(document_put(book, sample, kind, document_kind_words[kind], span_of(text), 1, &id, &made_message) == STATUS_OK);
}

/* What is told of `topic`, or "". */
static const char *told(const struct assessment *assessment, const char *topic)
{
    for (size_t k = 0; k < assessment->notices.count; k++)
        if (strcmp(assessment->notices.items[k].topic, topic) == 0)
            return assessment->notices.items[k].text;
    return "";
}

TEST(a_whole_sample_is_assessed_with_what_was_seen_in_it_and_said_of_it)
{
    struct scratch scratch;
    struct assessment all, one;
    int64_t sample = 0, run = 0;
    made_book(&scratch, &sample, &run);
    put(scratch.book, sample, DOCUMENT_OPENED, "[opened]\n[vent]\n");
    put(scratch.book, sample, DOCUMENT_OPENED, opened); /* the latest holds */
    put(scratch.book, sample, DOCUMENT_SUMMARY, "\nA sound pack.\n\nIts lead is thin.\n");
    CHECK(assess_sample(scratch.book, sample, 0, &all, &made_message) == STATUS_OK);
    CHECK(all.has_opened && all.opened.count == 1 && all.record_count == 1);
    CHECK_TEXT(all.opened.count == 1 ? all.opened.items[0].slug : "", "conductor-main-lead");
    CHECK_TEXT(all.opinion != NULL ? all.opinion : "", "A sound pack.\n\nIts lead is thin.");
    CHECK(strstr(all.command, " --sample 'hut pack 14'") != NULL && strstr(all.command, "--opened") == NULL);
    assessment_free(&all);
    CHECK(assess_sample(scratch.book, sample, run, &one, &made_message) == STATUS_OK);
    CHECK(!one.has_opened && one.opinion == NULL && strstr(one.command, "--sample") == NULL);
    assessment_free(&one);
    put(scratch.book, sample, DOCUMENT_SUMMARY, " \n"); /* taken back */
    CHECK(assess_sample(scratch.book, sample, 0, &all, &made_message) == STATUS_OK);
    CHECK(all.opinion == NULL && all.has_opened);
    assessment_free(&all);
    scratch_remove(&scratch);
}

TEST(a_paper_at_fault_does_not_take_the_findings_with_it)
{
    struct scratch scratch;
    struct assessment all;
    int64_t sample = 0, run = 0;
    made_book(&scratch, &sample, &run);
    put(scratch.book, sample, DOCUMENT_OPENED, "[opened]\n[conductor]\nsizes = many\n");
    CHECK(assess_sample(scratch.book, sample, 0, &all, &made_message) == STATUS_OK);
    CHECK(!all.has_opened && all.record_count == 1 && all.decision_count > 5);
    CHECK(strstr(told(&all, "opened"), "line 3") != NULL && strstr(told(&all, "opened"), "sizes") != NULL);
    assessment_free(&all);
    scratch_remove(&scratch);
}

TEST(of_a_file_it_is_a_fault)
{
    const char *path = "demo/hut-pack.label"; /* no such form */
    struct assess_request request = {.label = path, .opened = path};
    struct assessment assessment;
    CHECK(assess(&request, &assessment, &made_message) == STATUS_MALFORMED);
}
