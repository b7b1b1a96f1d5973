#include "cli/book_transfer.h"

#include "archive/export.h"
#include "base/json_value.h"
#include "cli/desk.h"
#include "cli/values.h"

static enum status tell(const char *book, const char *folder, bool imported, bool json,
                        const struct transfer *transfer, struct message *message)
{
    struct text text = TEXT_EMPTY;
    if (json) {
        json_t *all = json_object();
        json_put_words(all, "book", book);
        json_put_words(all, "folder", folder);
        json_put(all, "rows", json_integer(transfer->rows));
        json_put(all, "readings", json_integer(transfer->readings));
        json_put(all, "pictures", json_integer(transfer->pictures));
        json_add_text(all, false, &text);
        text_add(&text, "\n");
        json_decref(all);
    } else {
        text_addf(&text, "%s %s: %ld rows, %ld readings, %ld pictures\n", imported ? "made" : "exported to",
                  imported ? book : folder, transfer->rows, transfer->readings, transfer->pictures);
    }
    enum status status = desk_print(&text, message);
    text_free(&text);
    return status;
}

enum status book_transfer_export(const char *path, const char *folder, bool json, struct message *message)
{
    struct progress progress = {"exporting", -1};
    struct transfer transfer = {.progress = progress_function(json), .context = &progress};
    struct book *book = NULL;
    enum status status = desk_open(path, BOOK_READ, &book, message);
    if (status != STATUS_OK)
        return status;
    status = book_export(book, folder, &transfer, message);
    book_close(book);
    return status == STATUS_OK ? tell(path, folder, false, json, &transfer, message) : status;
}

enum status book_transfer_import(const char *folder, const char *path, bool json, struct message *message)
{
    struct progress progress = {"importing", -1};
    struct transfer transfer = {.progress = progress_function(json), .context = &progress};
    enum status status = book_import(folder, path, &transfer, message);
    return status == STATUS_OK ? tell(path, folder, true, json, &transfer, message) : status;
}
