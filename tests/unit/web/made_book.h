/* A book with the invented hut pack in it: sample, label, rig and the log of its discharge. */
#ifndef RUNDOWN_TESTS_MADE_BOOK_H
#define RUNDOWN_TESTS_MADE_BOOK_H

#include "../book/scratch_book.h"
#include "archive/stored.h"
#include "base/text.h"
#include "book/sample.h"
#include "check.h"

static struct message made_message;

static inline int64_t made_sample(struct book *book, const char *name)
{
    int64_t id = 0;
    CHECK(book_sample_add(book, name, true, 1, &id, &made_message) == STATUS_OK);
    return id;
}

static inline int64_t made_paper(struct book *book, int64_t sample, enum document_kind kind, const char *path)
{
    struct text text = TEXT_EMPTY;
    int64_t id = 0;
    CHECK(text_read_file(path, 1 << 20, &text) == 0);
    CHECK(document_put(book, sample, kind, document_kind_words[kind], (struct span){text_string(&text), text.length},
                       1750000000000000000, &id, &made_message) == STATUS_OK);
    text_free(&text);
    return id;
}

static inline int64_t made_log(struct book *book, int64_t sample, int64_t rig)
{
    struct log_options options = {.digits = true, .threads = 1};
    struct log log;
    int64_t run = 0;
    struct stored_request request = {
        .run = {.sample = sample, .kind = TEST_DISCHARGE, .rig_document = rig, .start_utc_s = 1770100000, .invented = true}};
    CHECK(log_read("demo/hut-pack.log.csv", &options, &log, &made_message) == STATUS_OK);
    CHECK(stored_log(book, &request, &log, &run, &made_message) == STATUS_OK);
    log_free(&log);
    return run;
}

/* Sample 1 with label, rig and a run. */
static inline void made_book(struct scratch *scratch, int64_t *ret_sample, int64_t *ret_run)
{
    scratch_open(scratch);
    *ret_sample = made_sample(scratch->book, "hut pack 14");
    made_paper(scratch->book, *ret_sample, DOCUMENT_LABEL, "demo/hut-pack.label");
    *ret_run = made_log(scratch->book, *ret_sample, made_paper(scratch->book, 0, DOCUMENT_RIG, "demo/hut-pack.rig"));
}

#endif
