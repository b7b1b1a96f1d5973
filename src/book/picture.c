#include "book/picture.h"

#include "base/memory.h"
#include "book/sql.h"

enum status picture_add(struct book *book, const struct picture *picture, int64_t *ret_id, struct message *message)
{
    struct sql q = sql_begin(book, "INSERT INTO picture (sample, run, kind, name, caption, item, shown, utc_ns, "
                                   "bytes) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)");
    sql_integer(&q, picture->sample);
    sql_key(&q, picture->run);
    sql_words(&q, picture->kind);
    sql_words(&q, picture->name);
    sql_words(&q, text_string(&picture->caption));
    sql_words(&q, picture->item);
    sql_integer(&q, picture->shown);
    sql_integer(&q, picture->utc_ns);
    sql_bytes(&q, (struct span){text_string(&picture->bytes), picture->bytes.length});
    enum status status = sql_finish(&q, message);
    if (status == STATUS_OK)
        *ret_id = sql_last_id(book);
    return status;
}

#define PICTURE_COLUMNS "id, sample, run, kind, name, caption, item, shown, utc_ns, length(bytes)"

static struct picture picture_at(struct sql *q)
{
    struct picture picture = {.id = sql_integer_at(q, 0), .sample = sql_integer_at(q, 1), .run = sql_integer_at(q, 2),
                              .shown = sql_integer_at(q, 7) != 0, .utc_ns = sql_integer_at(q, 8),
                              .size = sql_integer_at(q, 9)};
    sql_copy_at(q, 3, picture.kind, sizeof picture.kind);
    sql_copy_at(q, 4, picture.name, sizeof picture.name);
    text_add(&picture.caption, sql_words_at(q, 5));
    sql_copy_at(q, 6, picture.item, sizeof picture.item);
    return picture;
}

static enum status no_such_picture(const struct book *book, int64_t id, struct message *message)
{
    status_fail(message, STATUS_USAGE, "there is no picture %lld", (long long)id);
    status_at(message, book_path(book), 0, 0);
    status_remedy(message, "`rundown picture list` names those of a sample");
    return STATUS_USAGE;
}

enum status picture_get(struct book *book, int64_t id, struct picture *ret_picture, struct message *message)
{
    struct picture picture = {0};
    struct sql q = sql_begin(book, "SELECT " PICTURE_COLUMNS ", bytes FROM picture WHERE id = ?1");
    sql_integer(&q, id);
    if (sql_row(&q)) {
        picture = picture_at(&q);
        struct span bytes = sql_bytes_at(&q, 10);
        text_add_bytes(&picture.bytes, bytes.p, bytes.n);
    }
    enum status status = sql_end(&q, message);
    if (status == STATUS_OK && picture.id == 0)
        status = no_such_picture(book, id, message);
    if (status == STATUS_OK)
        *ret_picture = picture;
    else
        picture_free(&picture);
    return status;
}

enum status picture_head(struct book *book, int64_t id, size_t most, struct text *bytes, struct message *message)
{
    sqlite3_blob *blob = NULL;
    int code = sqlite3_blob_open(sql_handle(book), "main", "picture", "bytes", id, 0, &blob);
    size_t n = code == SQLITE_OK ? (size_t)sqlite3_blob_bytes(blob) : 0;
    n = n < most ? n : most;
    char *room = memory_get(n + 1);
    if (code == SQLITE_OK)
        code = sqlite3_blob_read(blob, room, (int)n, 0);
    if (code == SQLITE_OK)
        text_add_bytes(bytes, room, n);
    free(room);
    enum status status = code == SQLITE_ERROR ? no_such_picture(book, id, message)
                         : code == SQLITE_OK  ? STATUS_OK
                                              : sql_explain(book_path(book), sql_handle(book), code, message);
    (void)sqlite3_blob_close(blob);
    return status;
}

enum status book_pictures(struct book *book, int64_t sample, struct picture_list *ret_list, struct message *message)
{
    struct picture_list list = {0};
    size_t capacity = 0;
    struct sql q = sql_begin(book, "SELECT " PICTURE_COLUMNS " FROM picture WHERE sample = ?1 ORDER BY id");
    sql_integer(&q, sample);
    while (sql_row(&q)) {
        list.items = memory_grow(list.items, list.count, &capacity);
        list.items[list.count++] = picture_at(&q);
    }
    enum status status = sql_end(&q, message);
    if (status == STATUS_OK)
        *ret_list = list;
    else
        picture_list_free(&list);
    return status;
}

enum status picture_remove(struct book *book, int64_t id, struct message *message)
{
    struct sql q = sql_begin(book, "DELETE FROM picture WHERE id = ?1");
    sql_integer(&q, id);
    enum status status = sql_finish(&q, message);
    return status == STATUS_OK && sql_changes(book) == 0 ? no_such_picture(book, id, message) : status;
}

enum status picture_change(struct book *book, const struct picture *picture, struct message *message)
{
    struct sql q = sql_begin(book, "UPDATE picture SET caption = ?2, item = ?3, shown = ?4 WHERE id = ?1");
    sql_integer(&q, picture->id);
    sql_words(&q, text_string(&picture->caption));
    sql_words(&q, picture->item);
    sql_integer(&q, picture->shown);
    enum status status = sql_finish(&q, message);
    return status == STATUS_OK && sql_changes(book) == 0 ? no_such_picture(book, picture->id, message) : status;
}

void picture_free(struct picture *picture)
{
    text_free(&picture->caption);
    text_free(&picture->bytes);
}

void picture_list_free(struct picture_list *list)
{
    for (size_t k = 0; k < list->count; k++)
        picture_free(&list->items[k]);
    free(list->items);
    *list = (struct picture_list){0};
}
