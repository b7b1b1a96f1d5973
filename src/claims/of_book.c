#include "claims/of_book.h"

#include "archive/sample_runs.h"
#include "book/sample.h"

static enum status label_alone(struct book *book, int64_t sample, struct assessment *ret_assessment,
                               struct message *message)
{
    struct book_sample of;
    struct document label = {.text = TEXT_EMPTY};
    struct assess_request request = {0};
    int64_t id = 0;
    enum status status = book_sample_by_id(book, sample, &of, message);
    if (status == STATUS_OK)
        status = document_latest(book, sample, DOCUMENT_LABEL, NULL, &id, message);
    if (status == STATUS_OK && id != 0)
        status = document_get(book, id, &label, message);
    if (id != 0) {
        request.label = label.name;
        request.label_text = (struct span){text_string(&label.text), label.text.length};
    }
    if (status == STATUS_OK)
        status = assess(&request, ret_assessment, message);
    if (status == STATUS_OK)
        ret_assessment->invented |= of.invented;
    document_free(&label);
    return status;
}

enum status assess_sample(struct book *book, int64_t sample, int64_t run, struct assessment *ret_assessment,
                          struct message *message)
{
    struct text one = TEXT_EMPTY;
    struct sample_runs runs = {0};
    struct assess_request request = {0};
    enum status status = STATUS_OK;
    text_addf(&one, "%s:%lld", book_path(book), (long long)run);
    const char *name = text_string(&one);
    if (run != 0)
        request = (struct assess_request){.logs = &name, .log_count = 1};
    else
        status = sample_runs_find(book, sample, &runs, message);
    if (runs.count > 0)
        request = (struct assess_request){.logs = (const char *const *)runs.names, .log_count = runs.count};
    if (status == STATUS_OK)
        status = request.log_count > 0 ? assess(&request, ret_assessment, message)
                                       : label_alone(book, sample, ret_assessment, message);
    sample_runs_free(&runs);
    text_free(&one);
    return status;
}
