#include "claims/of_book.h"

enum status sample_asked_find(struct book *book, int64_t sample, struct sample_asked *ret_asked,
                              struct message *message)
{
    struct sample_asked asked = {.label = {.text = TEXT_EMPTY}};
    int64_t label = 0;
    enum status status = book_sample_by_id(book, sample, &asked.sample, message);
    if (status == STATUS_OK)
        status = sample_runs_find(book, sample, &asked.runs, message);
    if (status == STATUS_OK && asked.runs.count == 0)
        status = document_latest(book, sample, DOCUMENT_LABEL, NULL, &label, message);
    if (status == STATUS_OK && label != 0)
        status = document_get(book, label, &asked.label, message);
    if (status == STATUS_OK)
        *ret_asked = asked;
    else
        sample_asked_free(&asked);
    return status;
}

void sample_asked_put(const struct sample_asked *asked, struct assess_request *request)
{
    request->logs = (const char *const *)asked->runs.names;
    request->log_count = asked->runs.count;
    request->invented = asked->runs.count == 0 && asked->sample.invented; /* else each run says it */
    if (asked->label.id == 0 || request->label != NULL)
        return;
    request->label = asked->label.name;
    request->label_text = (struct span){text_string(&asked->label.text), asked->label.text.length};
}

void sample_asked_free(struct sample_asked *asked)
{
    sample_runs_free(&asked->runs);
    document_free(&asked->label);
}

static enum status assess_run_of(struct book *book, int64_t run, struct assessment *ret_assessment,
                                 struct message *message)
{
    struct text name = TEXT_EMPTY;
    text_addf(&name, "%s:%lld", book_path(book), (long long)run);
    const char *log = text_string(&name);
    struct assess_request request = {.logs = &log, .log_count = 1};
    enum status status = assess(&request, ret_assessment, message);
    text_free(&name);
    return status;
}

enum status assess_sample(struct book *book, int64_t sample, int64_t run, struct assessment *ret_assessment,
                          struct message *message)
{
    struct sample_asked asked;
    struct assess_request request = {0};
    if (run != 0)
        return assess_run_of(book, run, ret_assessment, message);
    enum status status = sample_asked_find(book, sample, &asked, message);
    if (status != STATUS_OK)
        return status;
    sample_asked_put(&asked, &request);
    status = assess(&request, ret_assessment, message);
    sample_asked_free(&asked);
    return status;
}
