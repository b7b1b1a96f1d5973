/* Values: readings as doubles in own units, for what computes; see book/stream.h. */
#include "book/stream.h"

#include "base/memory.h"
#include "base/wide.h"
#include "book/room.h"
#include "book/sql.h"

struct valuing {
    struct book *book;
    const struct book_stream *stream;
    double from_s, to_s;
    bool (*visit)(void *context, const double *const *columns, size_t count);
    void *context;
    double *into[BLOCK_COLUMNS]; /* NULL: not wanted */
    bool stopped;
};

WIDE static void to_own_unit(double *values, size_t count, double shift, double factor)
{
    for (size_t k = 0; k < count; k++)
        values[k] = (values[k] + shift) * factor;
}

/* Hands on what lies within the bounds. */
static void hand_on(struct valuing *valuing, size_t count)
{
    const double *t_s = valuing->into[0], *columns[BLOCK_COLUMNS] = {NULL};
    size_t from = 0, to = count;
    while (from < to && t_s[from] < valuing->from_s)
        from++;
    while (to > from && t_s[to - 1] > valuing->to_s)
        to--;
    for (int c = 0; c <= valuing->stream->columns; c++) {
        if (valuing->into[c] == NULL)
            continue;
        columns[c] = valuing->into[c] + from;
        const struct unit *unit = c > 0 ? &valuing->stream->column[c - 1].unit : NULL;
        if (unit != NULL && (unit->shift != 0 || unit->factor != 1))
            to_own_unit(valuing->into[c] + from, to - from, unit->shift, unit->factor);
    }
    if (from < to)
        valuing->stopped = !valuing->visit(valuing->context, columns, to - from);
}

static enum status give_rows(struct valuing *valuing, const char *select, struct message *message)
{
    enum status status = STATUS_OK;
    struct sql q = sql_begin(valuing->book, select);
    sql_integer(&q, valuing->stream->id);
    sql_real(&q, valuing->from_s);
    sql_real(&q, valuing->to_s);
    while (status == STATUS_OK && !valuing->stopped && sql_row(&q)) {
        size_t count = 0;
        struct message cause = {0};
        struct block_workspace *workspace = book_workspace(valuing->book);
        if (block_values(sql_bytes_at(&q, 1), workspace, valuing->into, &count, &cause) != STATUS_OK)
            status = room_damaged(valuing->book, cause.what, message);
        else if ((int64_t)count != sql_integer_at(&q, 0))
            status = room_damaged(valuing->book, "there are not as many as there should be", message);
        else
            hand_on(valuing, count);
    }
    enum status ended = sql_end(&q, message);
    return ended != STATUS_OK ? ended : status;
}

static enum status give_all(struct valuing *valuing, struct message *message)
{
    enum status status = give_rows(valuing, "SELECT readings, bytes FROM block WHERE stream = ?1 AND to_s >= ?2 "
                                            "AND from_s <= ?3 ORDER BY seq",
                                   message);
    if (status == STATUS_OK)
        status = give_rows(valuing, "SELECT readings, bytes FROM journal WHERE stream = ?1 AND to_s >= ?2 "
                                    "AND from_s <= ?3 ORDER BY id",
                           message);
    return status;
}

/* Within one transaction, so that a block sealed meanwhile is not met twice or missed. */
enum status stream_values(struct book *book, const struct book_stream *stream, const bool *wanted, double from_s,
                          double to_s, bool (*visit)(void *context, const double *const *columns, size_t count),
                          void *context, struct message *message)
{
    struct valuing valuing = {book, stream, from_s, to_s, visit, context, {NULL}, false};
    enum status status = book_begin(book, message);
    if (status != STATUS_OK)
        return status;
    for (int c = 0; c <= stream->columns; c++)
        if (c == 0 || wanted == NULL || wanted[c - 1])
            valuing.into[c] = memory_get(BLOCK_READINGS * sizeof(double));
    status = give_all(&valuing, message);
    for (int c = 0; c <= stream->columns; c++)
        free(valuing.into[c]);
    return book_settle(book, status, message);
}
