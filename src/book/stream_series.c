/* A whole stream as doubles in own units; see book/stream.h. Blocks are unpacked straight into the series. */
#include "book/stream.h"

#include "book/book_run.h"
#include "book/room.h"
#include "book/sql.h"

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

/* What the instrument or log itself said of its steps comes before what the digits of the first block show. */
static enum status find_steps(struct gathering *gathering, struct book *book, struct span bytes, int64_t readings,
                              struct message *message)
{
    struct room room;
    if (!room_init(&room, gathering->stream->columns + 1))
        return sql_explain(book_path(book), NULL, SQLITE_NOMEM, message);
    enum status status = room_take(&room, book, bytes, readings, message);
    if (status == STATUS_OK)
        gathering->series.time_resolution_s = step_of(room.cells[0], room.count, 1);
    for (int c = 0; c < CHANNELS && status == STATUS_OK; c++) {
        int from = gathering->column_of[c];
        if (from == 0)
            continue;
        const struct book_column *column = &gathering->stream->column[from - 1];
        gathering->series.resolution[c] =
            column->resolution > 0 ? column->resolution : step_of(room.cells[from], room.count, column->unit.factor);
    }
    room_free(&room);
    gathering->began = status == STATUS_OK;
    return status;
}

static enum status take_block(struct gathering *gathering, struct book *book, struct span bytes, int64_t readings,
                              struct message *message)
{
    struct series *series = &gathering->series;
    double *into[BLOCK_COLUMNS] = {series->t_s + series->count};
    struct message cause = {0};
    size_t count = block_readings(bytes);
    if ((int64_t)count != readings || count > series->capacity - series->count)
        return room_damaged(book, "there are not as many as there should be", message);
    for (int c = 0; c < CHANNELS; c++)
        if (gathering->column_of[c] > 0)
            into[gathering->column_of[c]] = series->column[c] + series->count;
    if (block_values(bytes, book_workspace(book), into, &count, &cause) != STATUS_OK)
        return room_damaged(book, cause.what, message);
    for (int c = 0; c < CHANNELS; c++) {
        int from = gathering->column_of[c];
        if (from > 0)
            unit_own_all(into[from], count, &gathering->stream->column[from - 1].unit);
    }
    series->count += count;
    return STATUS_OK;
}

static enum status gather(struct gathering *gathering, struct sql *q, struct message *message)
{
    enum status status = STATUS_OK;
    sql_integer(q, gathering->stream->id);
    while (status == STATUS_OK && sql_row(q)) {
        int64_t readings = sql_integer_at(q, 0);
        struct span bytes = sql_bytes_at(q, 1);
        if (!gathering->began)
            status = find_steps(gathering, q->book, bytes, readings, message);
        if (status == STATUS_OK)
            status = take_block(gathering, q->book, bytes, readings, message);
    }
    enum status ended = sql_end(q, message);
    return ended != STATUS_OK ? ended : status;
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

/* Of two columns of one channel the first counts. */
static enum status make_series(struct book *book, struct gathering *gathering, struct message *message)
{
    const struct book_stream *stream = gathering->stream;
    size_t count = 0;
    unsigned wanted = 0;
    for (int c = stream->columns; c > 0; c--) {
        enum channel channel = stream->column[c - 1].channel;
        if (channel == CHANNELS)
            continue;
        gathering->column_of[channel] = c;
        wanted |= 1u << channel;
    }
    enum status status = count_readings(book, stream->id, &count, message);
    if (status != STATUS_OK || series_init(&gathering->series, count > 0 ? count : 1, wanted))
        return status;
    status_fail(message, STATUS_LIMIT, "%zu readings do not fit into memory", count);
    status_at(message, book_path(book), 0, 0);
    return STATUS_LIMIT;
}

static enum status gather_all(struct book *book, struct gathering *gathering, struct message *message)
{
    struct book_run run = {0};
    enum status status = book_run_get(book, gathering->stream->run, &run, message);
    if (status == STATUS_OK)
        status = make_series(book, gathering, message);
    if (status == STATUS_OK) {
        struct sql q = sql_begin(book, "SELECT readings, bytes FROM block WHERE stream = ?1 ORDER BY seq");
        status = gather(gathering, &q, message);
    }
    if (status == STATUS_OK) {
        struct sql q = sql_begin(book, "SELECT readings, bytes FROM journal WHERE stream = ?1 ORDER BY id");
        status = gather(gathering, &q, message);
    }
    gathering->series.start_utc_s = run.start_utc_s;
    gathering->series.zone_known = run.zone_known;
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
