#include "report/codes_taken.h"

#include "book/picture.h"
#include "report/picture_codes.h"
#include "teardown/taken_codes.h"

static enum status read_cells(const struct picture *picture, struct cell_code *ret_cells, size_t *ret_count,
                              struct message *message)
{
    struct code codes[PICTURE_CODES];
    size_t count = 0;
    enum status status = picture_codes(picture->name, (struct span){text_string(&picture->bytes), picture->bytes.length},
                                       codes, &count, message);
    if (status == STATUS_OK)
        *ret_count = picture_codes_of_cells(codes, count, ret_cells);
    return status;
}

static enum status take_picture(struct book *book, const struct book_sample *sample, int64_t id, struct text *paper,
                                struct codes_taken *taken, struct message *message)
{
    struct picture picture;
    struct cell_code cells[PICTURE_CODES];
    struct text more = TEXT_EMPTY;
    char source[BOOK_NAME + 32];
    size_t count = 0, added = 0;
    enum status status = picture_get(book, id, &picture, message);
    if (status != STATUS_OK)
        return status;
    snprintf(source, sizeof source, "picture %lld, %s", (long long)id, picture.name);
    status = read_cells(&picture, cells, &count, message);
    if (status == STATUS_OK)
        status = taken_codes_put((struct span){text_string(paper), paper->length}, picture.item, sample->invented, source,
                                 cells, count, &more, &added, message);
    picture_free(&picture);
    if (status != STATUS_OK)
        return status;
    text_free(paper);
    *paper = more;
    taken->pictures++;
    taken->read += count;
    taken->added += added;
    return STATUS_OK;
}

static enum status take_all(struct book *book, const struct book_sample *sample, struct text *paper,
                            struct codes_taken *taken, struct message *message)
{
    struct picture_list list = {0};
    enum status status = book_pictures(book, sample->id, &list, message);
    for (size_t k = 0; k < list.count && status == STATUS_OK; k++)
        status = take_picture(book, sample, list.items[k].id, paper, taken, message);
    picture_list_free(&list);
    return status;
}

enum status codes_take(struct book *book, const struct book_sample *sample, int64_t utc_ns, struct codes_taken *ret_taken,
                       struct message *message)
{
    struct document document = {.text = TEXT_EMPTY};
    struct codes_taken taken = {0};
    int64_t id = 0;
    enum status status = document_latest(book, sample->id, DOCUMENT_OPENED, NULL, &id, message);
    if (status == STATUS_OK && id != 0)
        status = document_get(book, id, &document, message);
    if (status == STATUS_OK)
        status = take_all(book, sample, &document.text, &taken, message);
    if (status == STATUS_OK && taken.added > 0)
        status = document_put(book, sample->id, DOCUMENT_OPENED, id != 0 ? document.name : "opened",
                              (struct span){text_string(&document.text), document.text.length}, utc_ns, &id, message);
    document_free(&document);
    if (status == STATUS_OK)
        *ret_taken = taken;
    return status;
}
