#include "claims/of_book.h"

/* The latest of its kind; id 0 where there is none. */
static enum status latest(struct book *book, int64_t sample, enum document_kind kind, struct document *ret_document,
                          struct message *message)
{
    int64_t id = 0;
    enum status status = document_latest(book, sample, kind, NULL, &id, message);
    return status == STATUS_OK && id != 0 ? document_get(book, id, ret_document, message) : status;
}

enum status sample_asked_find(struct book *book, int64_t sample, struct sample_asked *ret_asked,
                              struct message *message)
{
    struct sample_asked asked = {.label = {.text = TEXT_EMPTY}};
    snprintf(asked.book, sizeof asked.book, "%s", book_path(book));
    enum status status = book_sample_by_id(book, sample, &asked.sample, message);
    if (status == STATUS_OK)
        status = sample_runs_find(book, sample, &asked.runs, message);
    if (status == STATUS_OK && asked.runs.count == 0)
        status = latest(book, sample, DOCUMENT_LABEL, &asked.label, message);
    if (status == STATUS_OK)
        status = latest(book, sample, DOCUMENT_OPENED, &asked.opened, message);
    if (status == STATUS_OK)
        status = latest(book, sample, DOCUMENT_SUMMARY, &asked.summary, message);
    if (status == STATUS_OK)
        *ret_asked = asked;
    else
        sample_asked_free(&asked);
    return status;
}

static struct span span_of_text(const struct text *text)
{
    return (struct span){text_string(text), text->length};
}

void sample_asked_put(const struct sample_asked *asked, struct assess_request *request)
{
    struct span summary = span_trim(span_of_text(&asked->summary.text));
    request->logs = (const char *const *)asked->runs.names;
    request->log_count = asked->runs.count;
    request->invented = asked->runs.count == 0 && asked->sample.invented; /* else each run says it */
    if (asked->label.id != 0 && request->label == NULL) {
        request->label = asked->label.name;
        request->label_text = span_of_text(&asked->label.text);
    }
    if (asked->opened.id != 0 && request->opened == NULL) {
        request->opened = asked->opened.name;
        request->opened_text = span_of_text(&asked->opened.text);
    }
    if (summary.n > 0 && request->opinion.p == NULL) /* an empty one takes an earlier one back */
        request->opinion = summary;
    if (request->opened_text.p != NULL || request->opinion.p != NULL) {
        request->book = asked->book;
        request->sample = asked->sample.name;
    }
}

void sample_asked_free(struct sample_asked *asked)
{
    sample_runs_free(&asked->runs);
    document_free(&asked->label);
    document_free(&asked->opened);
    document_free(&asked->summary);
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
