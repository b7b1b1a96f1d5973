#include "cli/book_runs.h"

#include "cli/desk.h"
#include "report/kept.h"

static enum status nothing_to_assess(const char *path, struct message *message)
{
    status_fail(message, STATUS_UNREADABLE, "this sample has neither readings nor a label");
    status_at(message, path, 0, 0);
    return status_remedy(message, "record a test with `rundown record`, or put a log in with `rundown import`");
}

enum status book_runs_of(const char *path, const char *name, struct sample_asked *ret_asked, struct message *message)
{
    struct book *book = NULL;
    struct book_sample sample;
    enum status status = desk_open(path, BOOK_READ, &book, message);
    if (status == STATUS_OK)
        status = book_sample_find(book, name, &sample, message);
    if (status == STATUS_OK)
        status = sample_asked_find(book, sample.id, ret_asked, message);
    book_close(book);
    if (status == STATUS_OK && ret_asked->runs.count == 0 && ret_asked->label.id == 0)
        return nothing_to_assess(path, message);
    return status;
}

enum status book_runs_keep(const struct assessment *assessment, struct message *message)
{
    size_t kept = 0;
    enum status status = kept_put(assessment, desk_utc_ns(), &kept, message);
    if (status == STATUS_OK && kept == 0) {
        status_fail(message, STATUS_USAGE, "--keep: what was assessed lies in no book");
        status = status_remedy(message, "put it in with `rundown import`, then assess BOOK:RUN");
    }
    return status;
}
