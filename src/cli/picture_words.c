#include "cli/picture_words.h"

#include "archive/photograph.h"
#include "cli/table_text.h"

static void add_row(const struct picture *picture, const struct picture_size *size, struct listing *rows)
{
    listing_add(rows, "%lld", (long long)picture->id);
    listing_add(rows, "%s", picture->name);
    if (size->width > 0)
        listing_add(rows, "%ld × %ld", size->width, size->height);
    else
        listing_add(rows, "%s", "");
    listing_add(rows, "%.1f MB", (double)picture->size / 1e6);
    if (picture->run != 0)
        listing_add(rows, "run %lld", (long long)picture->run);
    else
        listing_add(rows, "%s", picture->item);
    listing_add(rows, "%s", picture->shown ? "shown" : "");
    listing_add(rows, "%s", text_string(&picture->caption));
}

enum status picture_list_words(struct book *book, const struct picture_list *list, int indent, struct text *text,
                               struct message *message)
{
    struct listing rows = listing_of(7);
    enum status status = STATUS_OK;
    for (size_t k = 0; k < list->count && status == STATUS_OK; k++) {
        struct picture_size size = {0};
        status = photograph_size(book, list->items[k].id, &size, message);
        add_row(&list->items[k], &size, &rows);
    }
    if (status == STATUS_OK)
        table_text(&rows, indent, text);
    listing_free(&rows);
    return status;
}
