/* Walk: all readings of a stream, blocks and journal alike; see book/stream.h. */
#include "book/stream.h"

#include "book/room.h"
#include "book/sql.h"

struct walk {
    double from_s, to_s;
    bool (*visit)(void *context, const struct block_columns *block);
    void *context;
    struct room room;
    struct text odd; /* of the part within from_s and to_s */
    bool stopped;
};

/* Hands on what lies within the bounds. */
static void hand_on(struct walk *walk)
{
    struct block_columns block = room_block(&walk->room);
    size_t from = 0, to = block.count;
    while (from < to && decimal_value(block.cells[0][from]) < walk->from_s)
        from++;
    while (to > from && decimal_value(block.cells[0][to - 1]) > walk->to_s)
        to--;
    if (from < to) {
        struct block_columns part = block_part(&block, from, to - from, &walk->odd);
        walk->stopped = !walk->visit(walk->context, &part);
    }
    walk->room.count = 0;
    walk->room.odd.length = 0;
}

static enum status walk_blocks(struct book *book, int64_t stream, struct walk *walk, struct message *message)
{
    enum status status = STATUS_OK;
    struct sql q = sql_begin(book, "SELECT readings, bytes FROM block "
                                   "WHERE stream = ?1 AND to_s >= ?2 AND from_s <= ?3 ORDER BY seq");
    sql_integer(&q, stream);
    sql_real(&q, walk->from_s);
    sql_real(&q, walk->to_s);
    while (status == STATUS_OK && !walk->stopped && sql_row(&q)) {
        status = room_take(&walk->room, book, sql_bytes_at(&q, 1), sql_integer_at(&q, 0), message);
        if (status == STATUS_OK)
            hand_on(walk);
    }
    enum status ended = sql_end(&q, message);
    return ended != STATUS_OK ? ended : status;
}

static enum status count_columns(struct book *book, int64_t stream, int *ret_columns, struct message *message)
{
    struct sql q = sql_begin(book, "SELECT count(*) FROM stream_column WHERE stream = ?1");
    sql_integer(&q, stream);
    if (sql_row(&q))
        *ret_columns = 1 + (int)sql_integer_at(&q, 0);
    return sql_end(&q, message);
}

static enum status walk_all(struct book *book, int64_t stream, struct walk *walk, struct message *message)
{
    int columns = 1;
    enum status status = count_columns(book, stream, &columns, message);
    if (status == STATUS_OK && (columns > BLOCK_COLUMNS || !room_init(&walk->room, columns)))
        status = sql_explain(book_path(book), NULL, SQLITE_NOMEM, message);
    if (status == STATUS_OK)
        status = walk_blocks(book, stream, walk, message);
    if (status == STATUS_OK && !walk->stopped)
        status = room_take_journal(&walk->room, book, stream, message);
    if (status == STATUS_OK && !walk->stopped)
        hand_on(walk);
    room_free(&walk->room);
    text_free(&walk->odd);
    return status;
}

/* Within one transaction, so that a block sealed meanwhile is not met twice or missed. */
enum status stream_walk(struct book *book, int64_t stream, double from_s, double to_s,
                        bool (*visit)(void *context, const struct block_columns *block), void *context,
                        struct message *message)
{
    struct walk walk = {.from_s = from_s, .to_s = to_s, .visit = visit, .context = context};
    enum status status = book_begin(book, message);
    if (status != STATUS_OK)
        return status;
    status = walk_all(book, stream, &walk, message);
    return book_settle(book, status, message);
}
