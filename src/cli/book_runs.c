#include "cli/book_runs.h"

#include "archive/sample_runs.h"
#include "cli/desk.h"
#include "report/kept.h"

static enum status take_names(const char *path, struct sample_runs *runs, char **ret_names, size_t room,
                              size_t *ret_count, struct message *message)
{
    if (runs->count > room)
        return status_fail(message, STATUS_USAGE, "more than %zu logs at once", room);
    if (runs->count == 0) {
        status_fail(message, STATUS_UNREADABLE, "this sample has no run with readings");
        status_at(message, path, 0, 0);
        return status_remedy(message, "record a test with `rundown record`, or put a log in with `rundown import`");
    }
    for (size_t k = 0; k < runs->count; k++) {
        ret_names[k] = runs->names[k];
        runs->names[k] = NULL;
    }
    *ret_count = runs->count;
    return STATUS_OK;
}

enum status book_runs_of(const char *path, const char *name, char **ret_names, size_t room, size_t *ret_count,
                         struct message *message)
{
    struct book *book = NULL;
    struct book_sample sample;
    struct sample_runs runs = {0};
    enum status status = desk_open(path, BOOK_READ, &book, message);
    if (status == STATUS_OK)
        status = book_sample_find(book, name, &sample, message);
    if (status == STATUS_OK)
        status = sample_runs_find(book, sample.id, &runs, message);
    if (status == STATUS_OK)
        status = take_names(path, &runs, ret_names, room, ret_count, message);
    sample_runs_free(&runs);
    book_close(book);
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
