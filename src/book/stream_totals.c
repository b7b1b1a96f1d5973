/* Totals of a whole stream, from the coarsest summaries there are and the journal; see book/stream.h. */
#include "book/stream.h"

#include "base/memory.h"
#include "book/room.h"
#include "book/summary_row.h"

/* Joins the summaries of one level from row `seq` on; counts the rows. */
static enum status join_level(struct book *book, struct summary_place from, struct summary *summary, int64_t *ret_rows,
                              struct message *message)
{
    int64_t rows = 0;
    struct sql q = sql_begin(book, "SELECT " SUMMARY_COLUMNS " FROM summary WHERE stream = ?1 AND position = ?2 "
                                   "AND level = ?3 AND seq >= ?4 ORDER BY seq");
    sql_integer(&q, from.stream);
    sql_integer(&q, from.position);
    sql_integer(&q, from.level);
    sql_integer(&q, from.seq);
    for (; sql_row(&q); rows++) {
        struct summary one = summary_at(&q);
        summary_join(summary, &one);
    }
    *ret_rows = rows;
    return sql_end(&q, message);
}

static enum status join_sealed(struct book *book, int64_t stream, int columns, struct summary *summaries,
                               struct message *message)
{
    enum status status = STATUS_OK;
    for (int position = 0; status == STATUS_OK && position < columns; position++) {
        int64_t rows = 0;
        struct summary_place place = {stream, 0, position, 1};
        status = join_level(book, place, &summaries[position], &rows, message);
        place = (struct summary_place){stream, rows * LEVEL_BLOCKS, position, 0};
        if (status == STATUS_OK)
            status = join_level(book, place, &summaries[position], &rows, message);
    }
    return status;
}

static void join_block(const struct block_columns *block, struct summary *summaries)
{
    double t_s[BLOCK_CELL], values[BLOCK_CELL];
    for (size_t k = 0; k < block->count; k += BLOCK_CELL) {
        size_t n = block->count - k < BLOCK_CELL ? block->count - k : BLOCK_CELL;
        decimal_values(block->cells[0] + k, n, t_s);
        for (int position = 0; position < block->columns; position++) {
            decimal_values(block->cells[position] + k, n, values);
            struct summary cell = summary_of(t_s, values, n);
            summary_join(&summaries[position], &cell);
        }
    }
}

static enum status join_journal(struct book *book, int64_t stream, int columns, struct summary *summaries,
                                struct message *message)
{
    struct room room;
    if (!room_init(&room, columns))
        return sql_explain(book_path(book), NULL, SQLITE_NOMEM, message);
    enum status status = room_take_journal(&room, book, stream, message);
    if (status == STATUS_OK) {
        struct block_columns block = room_block(&room);
        join_block(&block, summaries);
    }
    room_free(&room);
    return status;
}

static enum status join_all(struct book *book, int64_t stream, int columns, struct summary *summaries,
                            struct message *message)
{
    enum status status = join_sealed(book, stream, columns, summaries, message);
    return status == STATUS_OK ? join_journal(book, stream, columns, summaries, message) : status;
}

/* Of the columns; time, at 0, is in seconds already. */
static enum status read_units(struct book *book, int64_t stream, struct unit units[BLOCK_COLUMNS], int *ret_columns,
                              struct message *message)
{
    int columns = 1;
    struct sql q = sql_begin(book, "SELECT factor, shift FROM stream_column WHERE stream = ?1 ORDER BY position");
    sql_integer(&q, stream);
    for (; columns < BLOCK_COLUMNS && sql_row(&q); columns++)
        units[columns] = (struct unit){.factor = sql_real_at(&q, 0), .shift = sql_real_at(&q, 1)};
    *ret_columns = columns;
    return sql_end(&q, message);
}

/* Within one transaction, so that a block sealed meanwhile is not counted twice or missed. */
enum status stream_totals(struct book *book, int64_t stream, struct summary *ret_summaries, struct message *message)
{
    struct unit units[BLOCK_COLUMNS] = {{.factor = 1}};
    struct summary summaries[BLOCK_COLUMNS];
    int columns = 1;
    for (int position = 0; position < BLOCK_COLUMNS; position++)
        summaries[position] = summary_none();
    enum status status = book_begin(book, message);
    if (status != STATUS_OK)
        return status;
    status = read_units(book, stream, units, &columns, message);
    if (status == STATUS_OK)
        status = join_all(book, stream, columns, summaries, message);
    status = book_settle(book, status, message);
    for (int position = 0; status == STATUS_OK && position < columns; position++)
        ret_summaries[position] = summary_own(summaries[position], &units[position]);
    return status;
}
