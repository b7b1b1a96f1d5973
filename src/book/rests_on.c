#include "book/rests_on.h"

#include "book/book_run.h"
#include "book/digest.h"
#include "book/sql.h"

static enum status add_open(struct book *book, int64_t sample, struct text *text, struct message *message)
{
    struct sql q = sql_begin(book, "SELECT stream.id, (SELECT max(seq) FROM block WHERE block.stream = stream.id), "
                                   "(SELECT max(journal.id) FROM journal WHERE journal.stream = stream.id) "
                                   "FROM run JOIN stream ON stream.run = run.id "
                                   "WHERE run.sample = ?1 AND open = 1 ORDER BY stream.id");
    sql_integer(&q, sample);
    while (sql_row(&q))
        text_addf(text, "stream %lld %lld %lld\n", (long long)sql_integer_at(&q, 0), (long long)sql_integer_at(&q, 1),
                  (long long)sql_integer_at(&q, 2));
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
    enum status status = book_begin(book, message); /* one state of the book for all that is asked */
    if (status != STATUS_OK)
        return status;
    status = find_sample(book, run, &sample, message);
    if (status == STATUS_OK)
        status = digest_basis(book, sample, &rests_on.settled, message);
    if (status == STATUS_OK)
        status = add_open(book, sample, &rests_on.open, message);
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
