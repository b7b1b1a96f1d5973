#include "book/rests_on.h"

#include "book/book_run.h"
#include "book/sample.h"
#include "book/sql.h"

/* Readings, events and texts are only ever added to a run, so how far each has come tells whether any was. */
#define FACTS                                                                                                     \
    "quote(sample) || ',' || quote(kind) || ',' || quote(origin) || ',' || quote(name) || ',' || quote(rig) || "  \
    "',' || quote(label) || ',' || quote(start_utc_s) || ',' || quote(zone_known) || ',' || quote(open) || ',' || " \
    "quote(end_s) || ',' || quote(invented)"
#define CONTENTS                                                                                              \
    "(SELECT count(*) || ',' || quote(max(id)) FROM event WHERE event.run = run.id) || ';' || "               \
    "(SELECT quote(max(id)) FROM run_text WHERE run_text.run = run.id) || ';' || "                            \
    "coalesce((SELECT group_concat(stream.id || ',' || "                                                      \
    "quote((SELECT max(seq) FROM block WHERE block.stream = stream.id)) || ',' || "                           \
    "quote((SELECT max(journal.id) FROM journal WHERE journal.stream = stream.id))) "                         \
    "FROM stream WHERE stream.run = run.id), '')"

static enum status add_runs(struct book *book, int64_t sample, int64_t run, struct rests_on *rests_on,
                            struct message *message)
{
    struct sql q = sql_begin(book, "SELECT id, open, " FACTS ", " CONTENTS
                                   " FROM run WHERE sample = ?1 AND (?2 = 0 OR id = ?2) ORDER BY id");
    sql_integer(&q, sample);
    sql_integer(&q, run);
    while (sql_row(&q)) {
        bool open = sql_integer_at(&q, 1) != 0;
        text_addf(&rests_on->settled, "run %lld: %s\n", (long long)sql_integer_at(&q, 0), sql_words_at(&q, 2));
        text_addf(open ? &rests_on->open : &rests_on->settled, "%s\n", sql_words_at(&q, 3));
    }
    return sql_end(&q, message);
}

/* The sample there is; of a run, its own. */
static enum status find_sample(struct book *book, int64_t run, int64_t *sample, struct message *message)
{
    struct book_sample of;
    struct book_run one;
    if (run == 0)
        return book_sample_by_id(book, *sample, &of, message);
    enum status status = book_run_get(book, run, &one, message);
    if (status != STATUS_OK)
        return status;
    if (*sample != 0 && one.sample != *sample) {
        status_fail(message, STATUS_USAGE, "run %lld is not of sample %lld", (long long)run, (long long)*sample);
        return status_at(message, book_path(book), 0, 0);
    }
    *sample = one.sample;
    return STATUS_OK;
}

enum status book_rests_on(struct book *book, int64_t sample, int64_t run, struct rests_on *ret_rests_on,
                          struct message *message)
{
    struct rests_on rests_on = {TEXT_EMPTY, TEXT_EMPTY};
    int64_t label = 0;
    enum status status = book_begin(book, message); /* one state of the book for all that is asked */
    if (status != STATUS_OK)
        return status;
    status = find_sample(book, run, &sample, message);
    if (status == STATUS_OK)
        status = document_latest(book, sample, DOCUMENT_LABEL, NULL, &label, message);
    if (status == STATUS_OK) {
        text_addf(&rests_on.settled, "label %lld\n", (long long)label);
        status = add_runs(book, sample, run, &rests_on, message);
    }
    book_rollback(book);
    if (status == STATUS_OK)
        *ret_rests_on = rests_on;
    else
        rests_on_free(&rests_on);
    return status;
}

void rests_on_free(struct rests_on *rests_on)
{
    text_free(&rests_on->settled);
    text_free(&rests_on->open);
}
