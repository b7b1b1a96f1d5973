#include "cli/book_runs.h"

#include "book/book_run.h"
#include "cli/desk.h"
#include "report/kept.h"

static enum status add_names(const char *path, const struct book_run_list *runs, char **names, size_t room,
                             size_t *ret_count, struct message *message)
{
    size_t count = 0;
    for (size_t k = 0; k < runs->count; k++) {
        const struct book_run *run = &runs->items[k];
        struct text name = TEXT_EMPTY;
        if (isnan(run->end_s) && run->origin != TEST_TYPED)
            continue; /* nothing came yet */
        if (count == room)
            return status_fail(message, STATUS_USAGE, "more than %zu logs at once", room);
        text_addf(&name, "%s:%lld", path, (long long)run->id);
        names[count++] = name.s;
        *ret_count = count;
    }
    if (count > 0)
        return STATUS_OK;
    status_fail(message, STATUS_UNREADABLE, "this sample has no run with readings");
    status_at(message, path, 0, 0);
    return status_remedy(message, "record a test with `rundown record`, or put a log in with `rundown import`");
}

enum status book_runs_of(const char *path, const char *name, char **ret_names, size_t room, size_t *ret_count,
                         struct message *message)
{
    struct book *book = NULL;
    struct book_sample sample;
    struct book_run_list runs = {0};
    enum status status = desk_open(path, BOOK_READ, &book, message);
    if (status == STATUS_OK)
        status = book_sample_find(book, name, &sample, message);
    if (status == STATUS_OK)
        status = book_runs(book, sample.id, &runs, message);
    if (status == STATUS_OK)
        status = add_names(path, &runs, ret_names, room, ret_count, message);
    book_run_list_free(&runs);
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
