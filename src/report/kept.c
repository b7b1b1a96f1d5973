#include "report/kept.h"

#include "archive/stored.h"
#include "report/json.h"

static enum status keep_one(const char *path, int64_t run, const struct text *json, int64_t utc_ns,
                            struct message *message)
{
    struct book *book = NULL;
    struct book_options options = {.access = BOOK_WRITE};
    enum status status = book_open(path, &options, &book, message);
    if (status == STATUS_OK)
        status = finding_put(book, run, "rundown " RUNDOWN_VERSION, (struct span){text_string(json), json->length},
                             utc_ns, message);
    book_close(book);
    return status;
}

enum status kept_put(const struct assessment *assessment, int64_t utc_ns, size_t *ret_kept, struct message *message)
{
    struct text json = TEXT_EMPTY;
    enum status status = STATUS_OK;
    size_t kept = 0;
    json_assessment(assessment, &json);
    for (size_t k = 0; k < assessment->record_count && status == STATUS_OK; k++) {
        char book[1024];
        int64_t run = 0;
        if (!stored_name(assessment->records[k].path, book, sizeof book, &run))
            continue;
        status = keep_one(book, run, &json, utc_ns, message);
        kept++;
    }
    text_free(&json);
    if (status == STATUS_OK)
        *ret_kept = kept;
    return status;
}

enum status kept_assess(const char *book, int64_t run, const char *plan, int64_t utc_ns,
                        struct assessment *ret_assessment, struct message *message)
{
    struct text name = TEXT_EMPTY;
    size_t kept;
    text_addf(&name, "%s:%lld", book, (long long)run);
    const char *logs[] = {text_string(&name)};
    struct assess_request request = {.logs = logs, .log_count = 1, .plan = plan};
    enum status status = assess(&request, ret_assessment, message);
    text_free(&name);
    if (status != STATUS_OK)
        return status;
    status = kept_put(ret_assessment, utc_ns, &kept, message);
    if (status != STATUS_OK)
        assessment_free(ret_assessment);
    return status;
}
