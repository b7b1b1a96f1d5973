#include "archive/bring_in.h"

#include "book/sample.h"

static enum status take_sample(struct book *book, const char *name, struct book_run *run, struct message *message)
{
    struct book_sample sample;
    struct message none;
    if (name == NULL)
        return STATUS_OK;
    if (book_sample_find(book, name, &sample, &none) != STATUS_OK)
        return book_sample_add(book, name, false, run->added_utc_ns, &run->sample, message);
    run->sample = sample.id;
    return STATUS_OK;
}

static enum status put_paper(struct book *book, const struct bring_paper *paper, int64_t sample, enum document_kind kind,
                             int64_t utc_ns, int64_t *ret_id, struct message *message)
{
    if (paper->name == NULL)
        return STATUS_OK;
    return document_put(book, sample, kind, paper->name, paper->text, utc_ns, ret_id, message);
}

static enum status put_all(struct book *book, const struct bring_in *request, const struct log *log, const char *path,
                           struct book_run *run, struct message *message)
{
    struct stored_request stored = request->stored;
    enum status status = take_sample(book, request->sample, run, message);
    if (status == STATUS_OK)
        status = put_paper(book, &request->label, run->sample, DOCUMENT_LABEL, run->added_utc_ns, &run->label_document,
                           message);
    if (status == STATUS_OK)
        status = put_paper(book, &request->rig, 0, DOCUMENT_RIG, run->added_utc_ns, &run->rig_document, message);
    stored.run = *run;
    if (status == STATUS_OK)
        status = log != NULL ? stored_log(book, &stored, log, &run->id, message)
                             : stored_readings(book, &stored, path, &run->id, message);
    return status;
}

/* A recording into the same book waits only while a log is stored, not while it is read. */
enum status bring_in(struct book *book, const struct bring_in *request, const struct log *log, const char *path,
                     struct book_run *ret_run, struct message *message)
{
    struct book_run run = request->stored.run;
    enum status status = book_begin(book, message);
    if (status != STATUS_OK)
        return status;
    status = put_all(book, request, log, path, &run, message);
    if (status == STATUS_OK)
        status = book_commit(book, message);
    else
        book_rollback(book);
    if (status == STATUS_OK)
        *ret_run = run;
    return status;
}
