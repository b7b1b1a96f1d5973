/* How many readings of a stream come before an instant: from what the blocks say of themselves, but for those that
 * the instant falls into. See book/stream.h. */
#include "book/stream.h"

#include "book/room.h"

static enum status count_within(struct book *book, struct span bytes, double t_s, int64_t *count, struct message *message)
{
    const double *times, *values;
    size_t readings, before = 0;
    struct message cause = {0};
    if (block_trace(bytes, book_workspace(book), 1, &times, &values, &readings, &cause) != STATUS_OK)
        return room_damaged(book, cause.what, message);
    while (before < readings && times[before] < t_s)
        before++;
    *count += (int64_t)before;
    return STATUS_OK;
}

static enum status count_all(struct book *book, int64_t stream, double t_s, int64_t *count, struct message *message)
{
    struct sql q = sql_begin(book, "SELECT (SELECT total(readings) FROM block WHERE stream = ?1 AND to_s < ?2) + "
                                   "(SELECT total(readings) FROM journal WHERE stream = ?1 AND to_s < ?2)");
    sql_integer(&q, stream);
    sql_real(&q, t_s);
    if (sql_row(&q))
        *count = sql_integer_at(&q, 0);
    enum status status = sql_end(&q, message);
    if (status != STATUS_OK)
        return status;
    q = sql_begin(book, "SELECT bytes FROM block WHERE stream = ?1 AND from_s < ?2 AND to_s >= ?2 UNION ALL "
                        "SELECT bytes FROM journal WHERE stream = ?1 AND from_s < ?2 AND to_s >= ?2");
    sql_integer(&q, stream);
    sql_real(&q, t_s);
    while (status == STATUS_OK && sql_row(&q))
        status = count_within(book, sql_bytes_at(&q, 0), t_s, count, message);
    enum status ended = sql_end(&q, message);
    return ended != STATUS_OK ? ended : status;
}

enum status stream_before(struct book *book, int64_t stream, double t_s, int64_t *ret_count, struct message *message)
{
    int64_t count = 0;
    enum status status = book_begin(book, message);
    if (status != STATUS_OK)
        return status;
    status = book_settle(book, count_all(book, stream, t_s, &count, message), message);
    if (status == STATUS_OK)
        *ret_count = count;
    return status;
}
