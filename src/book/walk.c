/* Walk: all readings of a stream, blocks and journal alike; see book/stream.h. */
#include "book/stream.h"

#include "book/book_run.h"
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

/* Where the readings of a stream go on their way into a series. */
struct gathering {
    struct series series;
    int column_of[CHANNELS]; /* column of the stream from 1; 0 none */
    const struct book_stream *stream;
    bool began;
};

static double step_of(const struct decimal *cells, size_t count, double factor)
{
    int finest = INT8_MIN;
    for (size_t k = 0; k < count; k++)
        if (cells[k].kind == DECIMAL_NUMBER && cells[k].decimals > finest)
            finest = cells[k].decimals;
    return finest == INT8_MIN ? 0 : decimal_value((struct decimal){1, (int8_t)finest, DECIMAL_NUMBER}) * fabs(factor);
}

/* What the instrument or log itself said of its steps comes before what the digits show. */
static void find_steps(struct gathering *gathering, const struct block_columns *block)
{
    gathering->series.time_resolution_s = step_of(block->cells[0], block->count, 1);
    for (int c = 0; c < CHANNELS; c++) {
        int from = gathering->column_of[c];
        if (from == 0)
            continue;
        const struct book_column *column = &gathering->stream->column[from - 1];
        gathering->series.resolution[c] =
            column->resolution > 0 ? column->resolution : step_of(block->cells[from], block->count, column->unit.factor);
    }
    gathering->began = true;
}

static bool gather(void *context, const struct block_columns *block)
{
    struct gathering *gathering = context;
    struct series *series = &gathering->series;
    if (!gathering->began)
        find_steps(gathering, block);
    if (series->count + block->count > series->capacity)
        return false; /* cannot be: counted within the same transaction */
    for (size_t k = 0; k < block->count; k++)
        series->t_s[series->count + k] = decimal_value(block->cells[0][k]);
    for (int c = 0; c < CHANNELS; c++) {
        if (gathering->column_of[c] == 0)
            continue;
        const struct decimal *cells = block->cells[gathering->column_of[c]];
        const struct unit *unit = &gathering->stream->column[gathering->column_of[c] - 1].unit;
        for (size_t k = 0; k < block->count; k++)
            series->column[c][series->count + k] = unit_own(decimal_value(cells[k]), unit);
    }
    series->count += block->count;
    return true;
}

static enum status count_readings(struct book *book, int64_t stream, size_t *ret_count, struct message *message)
{
    struct sql q = sql_begin(book, "SELECT (SELECT total(readings) FROM block WHERE stream = ?1) + "
                                   "(SELECT total(readings) FROM journal WHERE stream = ?1)");
    sql_integer(&q, stream);
    if (sql_row(&q))
        *ret_count = (size_t)sql_integer_at(&q, 0);
    return sql_end(&q, message);
}

static enum status gather_all(struct book *book, struct gathering *gathering, struct message *message)
{
    const struct book_stream *stream = gathering->stream;
    struct book_run run;
    size_t count = 0;
    unsigned wanted = 0;
    for (int c = stream->columns; c > 0; c--) { /* of two columns of one channel the first counts */
        enum channel channel = stream->column[c - 1].channel;
        if (channel == CHANNELS)
            continue;
        gathering->column_of[channel] = c;
        wanted |= 1u << channel;
    }
    enum status status = book_run_get(book, stream->run, &run, message);
    if (status == STATUS_OK)
        status = count_readings(book, stream->id, &count, message);
    if (status == STATUS_OK && !series_init(&gathering->series, count > 0 ? count : 1, wanted)) {
        status_fail(message, STATUS_LIMIT, "%zu readings do not fit into memory", count);
        status_at(message, book_path(book), 0, 0);
        return STATUS_LIMIT;
    }
    if (status == STATUS_OK)
        status = stream_walk(book, stream->id, -INFINITY, INFINITY, gather, gathering, message);
    if (status == STATUS_OK) {
        gathering->series.start_utc_s = run.start_utc_s;
        gathering->series.zone_known = run.zone_known;
    }
    return status;
}

enum status stream_series(struct book *book, const struct book_stream *stream, struct series *ret_series,
                          struct message *message)
{
    struct gathering gathering = {.stream = stream};
    enum status status = book_begin(book, message);
    if (status != STATUS_OK)
        return status;
    status = gather_all(book, &gathering, message);
    status = book_settle(book, status, message);
    if (status == STATUS_OK)
        *ret_series = gathering.series;
    else
        series_free(&gathering.series);
    return status;
}
