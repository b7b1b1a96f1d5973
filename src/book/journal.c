/* Journal: live readings come in as rows and are sealed into blocks; see book/stream.h. */
#include "book/stream.h"

#include "base/memory.h"
#include "book/room.h"
#include "book/sql.h"
#include "book/state.h"

/* Forgets what is known of the journals when another program has written since. */
static enum status heed_others(struct book *book, struct message *message)
{
    struct sql q = sql_begin(book, "PRAGMA data_version");
    int64_t version = sql_row(&q) ? sql_integer_at(&q, 0) : 0;
    enum status status = sql_end(&q, message);
    if (status == STATUS_OK && version != book->tails_version) {
        book->tail_count = 0;
        book->tails_version = version;
    }
    return status;
}

static enum status read_tail(struct book *book, int64_t stream, struct journal_tail *ret_tail, struct message *message)
{
    struct sql q = sql_begin(book, "SELECT (SELECT count(*) FROM stream_column WHERE stream = ?1), "
                                   "(SELECT total(readings) FROM journal WHERE stream = ?1), "
                                   "(SELECT max(to_s) FROM (SELECT to_s FROM block WHERE stream = ?1 "
                                   "UNION ALL SELECT to_s FROM journal WHERE stream = ?1)) "
                                   "FROM stream WHERE id = ?1");
    sql_integer(&q, stream);
    bool there = sql_row(&q);
    struct journal_tail tail = {stream, (size_t)sql_integer_at(&q, 1), (int)sql_integer_at(&q, 0), sql_real_at(&q, 2)};
    enum status status = sql_end(&q, message);
    if (status != STATUS_OK)
        return status;
    if (!there) {
        status_fail(message, STATUS_USAGE, "there is no stream %lld", (long long)stream);
        status_at(message, book->path, 0, 0);
        return STATUS_USAGE;
    }
    *ret_tail = tail;
    return STATUS_OK;
}

static enum status find_tail(struct book *book, int64_t stream, struct journal_tail **ret_tail,
                             struct message *message)
{
    enum status status = heed_others(book, message);
    for (int k = 0; status == STATUS_OK && k < book->tail_count; k++) {
        if (book->tails[k].stream == stream) {
            *ret_tail = &book->tails[k];
            return STATUS_OK;
        }
    }
    if (book->tail_count == LIVE_STREAMS)
        book->tail_count = 0;
    if (status == STATUS_OK)
        status = read_tail(book, stream, &book->tails[book->tail_count], message);
    if (status == STATUS_OK)
        *ret_tail = &book->tails[book->tail_count++];
    return status;
}

/* What a writer may hand over: as many columns as the stream has, and times that are numbers and never decrease. */
static enum status judge(const struct book *book, const struct journal_tail *tail,
                         const struct block_columns *readings, struct message *message)
{
    double before_s = isnan(tail->last_s) ? -INFINITY : tail->last_s;
    bool good = readings->columns == tail->columns + 1 && readings->count <= BLOCK_READINGS;
    size_t k = 0;
    for (; good && k < readings->count; k++) {
        double t_s = decimal_value(readings->cells[0][k]);
        if (!(t_s >= before_s) || isinf(t_s))
            break;
        before_s = t_s;
    }
    if (good && k == readings->count)
        return STATUS_OK;
    if (!good)
        status_fail(message, STATUS_MALFORMED, "stream %lld takes %d columns and at most %d readings at once",
                    (long long)tail->stream, tail->columns + 1, BLOCK_READINGS);
    else
        status_fail(message, STATUS_MALFORMED, "reading %zu for stream %lld has no time, or one before %.9g s", k + 1,
                    (long long)tail->stream, before_s);
    status_at(message, book->path, 0, 0);
    return STATUS_MALFORMED;
}

static enum status add_row(struct book *book, int64_t stream, const struct block_columns *readings,
                           struct message *message)
{
    struct text bytes = TEXT_EMPTY;
    enum status status = block_pack(readings, book_workspace(book), &bytes, message);
    if (status == STATUS_OK) {
        struct sql q = sql_begin(book, "INSERT INTO journal (stream, readings, from_s, to_s, bytes) "
                                       "VALUES (?1, ?2, ?3, ?4, ?5)");
        sql_integer(&q, stream);
        sql_integer(&q, (int64_t)readings->count);
        sql_real(&q, decimal_value(readings->cells[0][0]));
        sql_real(&q, decimal_value(readings->cells[0][readings->count - 1]));
        sql_bytes(&q, (struct span){text_string(&bytes), bytes.length});
        status = sql_finish(&q, message);
    }
    text_free(&bytes);
    return status;
}

/* Fills the journal up to a whole block, seals that, and goes on with the rest. */
static enum status add_rows(struct book *book, int64_t stream, const struct block_columns *readings,
                            struct message *message)
{
    struct text odd = TEXT_EMPTY;
    enum status status = STATUS_OK;
    for (size_t done = 0; status == STATUS_OK && done < readings->count;) {
        struct journal_tail *tail = NULL;
        status = find_tail(book, stream, &tail, message);
        if (status != STATUS_OK)
            break;
        size_t room = tail->waiting < BLOCK_READINGS ? BLOCK_READINGS - tail->waiting : 0;
        size_t count = readings->count - done < room ? readings->count - done : room;
        if (count > 0) {
            struct block_columns part = block_part(readings, done, count, &odd);
            status = add_row(book, stream, &part, message);
            tail->waiting += count;
            tail->last_s = decimal_value(part.cells[0][count - 1]);
            done += count;
        }
        if (status == STATUS_OK && tail->waiting >= BLOCK_READINGS)
            status = stream_seal(book, stream, message);
    }
    text_free(&odd);
    return status;
}

enum status stream_append(struct book *book, int64_t stream, const struct block_columns *readings,
                          struct message *message)
{
    if (readings->count == 0)
        return STATUS_OK;
    struct journal_tail *tail = NULL;
    enum status status = book_begin(book, message);
    if (status != STATUS_OK)
        return status;
    status = find_tail(book, stream, &tail, message);
    if (status == STATUS_OK)
        status = judge(book, tail, readings, message);
    if (status == STATUS_OK)
        status = add_rows(book, stream, readings, message);
    return book_settle(book, status, message);
}

static enum status forget_rows(struct book *book, int64_t stream, struct message *message)
{
    struct sql q = sql_begin(book, "DELETE FROM journal WHERE stream = ?1");
    sql_integer(&q, stream);
    return sql_finish(&q, message);
}

static enum status seal(struct book *book, struct journal_tail *tail, struct message *message)
{
    struct room room;
    int64_t stream = tail->stream;
    if (!room_init(&room, tail->columns + 1))
        return sql_explain(book->path, NULL, SQLITE_NOMEM, message);
    enum status status = room_take_journal(&room, book, stream, message);
    if (status == STATUS_OK && room.count > 0) {
        struct block_columns block = room_block(&room);
        status = stream_fill(book, stream, &block, message);
        if (status == STATUS_OK)
            status = forget_rows(book, stream, message);
    }
    room_free(&room);
    if (status == STATUS_OK)
        tail->waiting = 0;
    return status;
}

enum status stream_seal(struct book *book, int64_t stream, struct message *message)
{
    struct journal_tail *tail = NULL;
    enum status status = book_begin(book, message);
    if (status != STATUS_OK)
        return status;
    status = find_tail(book, stream, &tail, message);
    if (status == STATUS_OK)
        status = seal(book, tail, message);
    return book_settle(book, status, message);
}
