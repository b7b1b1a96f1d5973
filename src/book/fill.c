/* Fill: a block into the book with its summaries; see book/stream.h and book/totals.h. */
#include "book/stream.h"

#include "base/memory.h"
#include "book/ready.h"
#include "book/room.h"
#include "book/summary_row.h"

/* The next number of a block, and how many columns the stream has with time. */
static enum status find_place(struct book *book, int64_t stream, int64_t *ret_seq, int *ret_columns,
                              struct message *message)
{
    struct sql q = sql_begin(book, "SELECT (SELECT ifnull(max(seq) + 1, 0) FROM block WHERE stream = ?1), "
                                   "(SELECT count(*) FROM stream_column WHERE stream = ?1)");
    sql_integer(&q, stream);
    if (sql_row(&q)) {
        *ret_seq = sql_integer_at(&q, 0);
        *ret_columns = (int)sql_integer_at(&q, 1) + 1;
    }
    return sql_end(&q, message);
}

static struct span bytes_of(const struct text *text)
{
    return (struct span){text_string(text), text->length};
}

static enum status put_block(struct book *book, int64_t stream, int64_t seq, const struct ready_block *block,
                             struct message *message)
{
    struct sql q = sql_begin(book, "INSERT INTO block (stream, seq, readings, from_s, to_s, bytes) "
                                   "VALUES (?1, ?2, ?3, ?4, ?5, ?6)");
    sql_integer(&q, stream);
    sql_integer(&q, seq);
    sql_integer(&q, (int64_t)block->count);
    sql_real(&q, block->from_s);
    sql_real(&q, block->to_s);
    sql_bytes(&q, bytes_of(&block->bytes));
    return sql_finish(&q, message);
}

/* The last LEVEL_BLOCKS blocks become a row of the coarser level. */
static enum status put_coarse(struct book *book, struct summary_place last, struct cells *finer, struct cells *cells,
                              struct message *message)
{
    enum status status = STATUS_OK;
    struct summary summary = summary_none();
    struct sql q = sql_begin(book, "SELECT " SUMMARY_COLUMNS ", cells FROM summary WHERE stream = ?1 AND position = ?2 "
                                   "AND level = 0 AND seq > ?3 AND seq <= ?4 ORDER BY seq");
    sql_integer(&q, last.stream);
    sql_integer(&q, last.position);
    sql_integer(&q, last.seq - LEVEL_BLOCKS);
    sql_integer(&q, last.seq);
    cells->count = 0;
    while (status == STATUS_OK && sql_row(&q)) {
        struct summary one = summary_at(&q);
        summary_join(&summary, &one);
        status = cells_unpack(sql_bytes_at(&q, SUMMARY_FIELDS), last.position, book_workspace(book), finer, message);
        if (status == STATUS_OK)
            status = cells_coarsen(finer, cells, message);
    }
    enum status ended = sql_end(&q, message);
    status = ended != STATUS_OK ? ended : status;
    struct summary_place place = {last.stream, last.seq / LEVEL_BLOCKS, last.position, 1};
    struct text bytes = TEXT_EMPTY;
    if (status == STATUS_OK)
        status = cells_pack(cells, last.position, book_workspace(book), &bytes, message);
    if (status == STATUS_OK)
        status = summary_put(book, place, &summary, bytes_of(&bytes), message);
    text_free(&bytes);
    return status;
}

static enum status put_all(struct book *book, int64_t stream, const struct ready_block *block,
                           struct cells cells[2], struct message *message)
{
    int64_t seq = 0;
    int columns = 0;
    enum status status = find_place(book, stream, &seq, &columns, message);
    if (status == STATUS_OK && columns != block->columns) {
        status_fail(message, STATUS_MALFORMED, "a block of stream %lld has %d columns, not %d", (long long)stream,
                    columns, block->columns);
        status = status_at(message, book_path(book), 0, 0);
    }
    if (status == STATUS_OK)
        status = put_block(book, stream, seq, block, message);
    for (int position = 0; status == STATUS_OK && position < columns; position++) {
        struct summary_place place = {stream, seq, position, 0};
        status = summary_put(book, place, &block->summary[position], bytes_of(&block->cells[position]), message);
        if (status == STATUS_OK && seq % LEVEL_BLOCKS == LEVEL_BLOCKS - 1)
            status = put_coarse(book, place, &cells[0], &cells[1], message);
    }
    return status;
}

enum status stream_fill_ready(struct book *book, int64_t stream, const struct ready_block *block,
                              struct message *message)
{
    enum status status = book_begin(book, message);
    if (status != STATUS_OK)
        return status;
    struct cells *cells = memory_get(2 * sizeof *cells);
    status = put_all(book, stream, block, cells, message);
    free(cells);
    return book_settle(book, status, message);
}

enum status stream_fill(struct book *book, int64_t stream, const struct block_columns *block, struct message *message)
{
    struct ready_block ready = {0};
    struct cells *scratch = memory_get(sizeof *scratch);
    enum status status = ready_make(block, book_workspace(book), scratch, &ready, message);
    free(scratch);
    if (status == STATUS_OK)
        status = stream_fill_ready(book, stream, &ready, message);
    else if (message != NULL && message->file[0] == '\0')
        status_at(message, book_path(book), 0, 0);
    ready_free(&ready);
    return status;
}
