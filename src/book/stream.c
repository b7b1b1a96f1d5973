#include "book/stream.h"

#include "base/memory.h"
#include "book/sql.h"

/* Words of the format: they never change, whatever the program calls these things elsewhere. */
static const char *const channel_words[] = {"voltage", "current", "power", "temperature", "ambient",
                                            "charge tally", "energy tally", NULL};
static const char *const quantity_words[] = {"none", "time", "voltage", "current", "power", "charge", "energy",
                                             "temperature", "mass", "length", "resistance", "ratio", "rate", "count",
                                             NULL};
_Static_assert(sizeof channel_words / sizeof channel_words[0] == CHANNELS + 1, "one word a channel");
_Static_assert(sizeof quantity_words / sizeof quantity_words[0] == QUANTITIES + 1, "one word a quantity");

static enum status add_column(struct book *book, int64_t stream, int position, const struct book_column *column,
                              struct message *message)
{
    struct sql q = sql_begin(book, "INSERT INTO stream_column (stream, position, name, channel, quantity, factor, "
                                   "shift, unit_symbol, resolution) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)");
    sql_integer(&q, stream);
    sql_integer(&q, position);
    sql_words(&q, column->name);
    sql_words(&q, channel_words[column->channel]); /* CHANNELS: the NULL at the end */
    sql_words(&q, quantity_words[column->quantity]);
    sql_real(&q, column->unit.factor);
    sql_real(&q, column->unit.shift);
    sql_words(&q, column->unit_symbol);
    sql_real(&q, column->resolution);
    return sql_finish(&q, message);
}

enum status stream_add(struct book *book, const struct book_stream *stream, int64_t *ret_id, struct message *message)
{
    enum status status = book_begin(book, message);
    if (status != STATUS_OK)
        return status;
    struct sql q = sql_begin(book, "INSERT INTO stream (run, name, identity) VALUES (?1, ?2, ?3)");
    sql_integer(&q, stream->run);
    sql_words(&q, stream->name);
    sql_words(&q, stream->identity);
    status = sql_finish(&q, message);
    int64_t id = sql_last_id(book);
    for (int c = 0; c < stream->columns && status == STATUS_OK; c++)
        status = add_column(book, id, c + 1, &stream->column[c], message);
    status = book_settle(book, status, message);
    if (status == STATUS_OK)
        *ret_id = id;
    return status;
}

static enum status column_at(const struct book *book, struct sql *q, struct book_column *ret_column,
                             struct message *message)
{
    struct book_column column = {.unit = {.factor = sql_real_at(q, 3), .shift = sql_real_at(q, 4)},
                                 .resolution = sql_real_at(q, 6)};
    const char *channel = sql_words_at(q, 1);
    int k = CHANNELS;
    enum status status = channel[0] == '\0' ? STATUS_OK : sql_word_find(book, channel_words, channel, &k, message);
    column.channel = (enum channel)k;
    if (status == STATUS_OK)
        status = sql_word_find(book, quantity_words, sql_words_at(q, 2), &k, message);
    column.quantity = column.unit.quantity = (enum quantity)k;
    sql_copy_at(q, 0, column.name, sizeof column.name);
    sql_copy_at(q, 5, column.unit_symbol, sizeof column.unit_symbol);
    if (status == STATUS_OK)
        *ret_column = column;
    return status;
}

static enum status read_columns(struct book *book, struct book_stream *stream, struct message *message)
{
    enum status status = STATUS_OK;
    struct sql q = sql_begin(book, "SELECT name, channel, quantity, factor, shift, unit_symbol, resolution "
                                   "FROM stream_column WHERE stream = ?1 ORDER BY position");
    sql_integer(&q, stream->id);
    while (status == STATUS_OK && sql_row(&q) && stream->columns < LINK_CHANNELS)
        status = column_at(book, &q, &stream->column[stream->columns++], message);
    enum status ended = sql_end(&q, message);
    return ended != STATUS_OK ? ended : status;
}

enum status book_streams(struct book *book, int64_t run, struct book_stream_list *ret_list, struct message *message)
{
    struct book_stream_list list = {0};
    size_t capacity = 0;
    enum status status = STATUS_OK;
    struct sql q = sql_begin(book, "SELECT id, name, identity FROM stream WHERE run = ?1 ORDER BY id");
    sql_integer(&q, run);
    while (status == STATUS_OK && sql_row(&q)) {
        list.items = memory_grow(list.items, list.count, &capacity);
        struct book_stream *stream = &list.items[list.count++];
        *stream = (struct book_stream){.id = sql_integer_at(&q, 0), .run = run};
        sql_copy_at(&q, 1, stream->name, sizeof stream->name);
        sql_copy_at(&q, 2, stream->identity, sizeof stream->identity);
        status = read_columns(book, stream, message);
    }
    enum status ended = sql_end(&q, message);
    status = ended != STATUS_OK ? ended : status;
    if (status == STATUS_OK)
        *ret_list = list;
    else
        book_stream_list_free(&list);
    return status;
}

void book_stream_list_free(struct book_stream_list *list)
{
    free(list->items);
    *list = (struct book_stream_list){0};
}
