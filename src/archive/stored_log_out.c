#include "archive/log_words.h"
#include "archive/stored_parts.h"
#include "base/memory.h"
#include "book/stream.h"
#include "intake/cells.h"

/* Everything a block is turned into, block after block. */
struct back {
    struct log *log;
    const struct book_stream *stream;
    struct log_times times;
    int mode;          /* column, 0 when there is none */
    int8_t *modes;     /* of the present block */
    size_t rows;
    bool overrun;      /* more readings than the stream was said to hold */
    struct span odd;   /* texts not yet used */
};

static struct span next_odd(struct back *back)
{
    const char *end = back->odd.n > 0 ? memchr(back->odd.p, '\n', back->odd.n) : NULL;
    size_t n = end != NULL ? (size_t)(end - back->odd.p) : back->odd.n, used = n + (end != NULL);
    struct span text = {back->odd.p, n};
    back->odd = (struct span){back->odd.p + used, back->odd.n - used};
    return text;
}

/* As the reader of the log took it: a unit of the cell's own stands before the column's. */
static double odd_value(const struct back *back, struct span text, const struct book_column *column)
{
    double number;
    struct unit unit;
    if (cell_read(text, back->log->decimal, &number, &unit) != CELL_NUMBER)
        return NAN;
    bool own = unit.quantity != QUANTITY_NONE && unit.quantity == column->quantity;
    return unit_own(number, own ? &unit : &column->unit);
}

/* Odd cells stand row by row, so they are gone through once the numbers are in. */
static void put_odd(struct back *back, const struct block_columns *block)
{
    for (size_t k = 0; k < block->count && back->odd.n > 0; k++) {
        for (int c = 1; c < block->columns && back->odd.n > 0; c++) {
            if (block->cells[c][k].kind != DECIMAL_ODD)
                continue;
            struct span text = next_odd(back);
            const struct book_column *column = &back->stream->column[c - 1];
            if (column->channel < CHANNELS)
                back->log->series.column[column->channel][back->rows + k] = odd_value(back, text, column);
        }
    }
}

static void put_channel(const struct decimal *cells, size_t count, const struct unit *unit, double *own)
{
    decimal_values(cells, count, own);
    for (size_t k = 0; k < count; k++)
        own[k] = unit_own(own[k], unit);
}

/* As the mode turned the signs when the log was read, and left without a sign what has no direction. */
static void turn(const struct back *back, enum channel channel, size_t count)
{
    const bool *turned = back->log->digits.turned[channel];
    double *own = back->log->series.column[channel] + back->rows;
    for (size_t k = 0; k < count && (turned[0] || turned[1]); k++) {
        int mode = back->modes[k];
        if ((mode == 1 && turned[0]) || (mode == -1 && turned[1]))
            own[k] = -own[k];
        if (mode == 2 && own[k] != 0)
            own[k] = NAN;
    }
}

static bool take_block(void *context, const struct block_columns *block)
{
    struct back *back = context;
    struct series *series = &back->log->series;
    if (block->count > series->capacity - back->rows || block->columns != back->stream->columns + 1) {
        back->overrun = true;
        return false;
    }
    log_times_seconds(&back->times, block->cells[0], block->count, series->t_s + back->rows);
    for (int c = 0; c < back->stream->columns; c++) {
        const struct book_column *column = &back->stream->column[c];
        if (column->channel < CHANNELS)
            put_channel(block->cells[c + 1], block->count, &column->unit, series->column[column->channel] + back->rows);
    }
    for (size_t k = 0; k < block->count && back->mode > 0; k++)
        back->modes[k] = (int8_t)block->cells[back->mode][k].mantissa;
    if (block->odd != NULL && block->odd[0] != '\0') {
        back->odd = span_of(block->odd);
        put_odd(back, block);
    }
    for (int c = 0; c < CHANNELS && back->mode > 0; c++)
        if (series->column[c] != NULL)
            turn(back, (enum channel)c, block->count);
    back->rows += block->count;
    return true;
}

static enum status make_series(struct book *book, struct back *back, struct message *message)
{
    struct summary totals[BLOCK_COLUMNS];
    enum status status = stream_totals(book, back->stream->id, totals, message);
    if (status != STATUS_OK)
        return status;
    unsigned wanted = 0;
    struct series series, *kept = &back->log->series;
    for (int c = 0; c < back->stream->columns; c++)
        wanted |= back->stream->column[c].channel < CHANNELS ? 1u << back->stream->column[c].channel : 0;
    if (totals[0].count < 1 || !series_init(&series, (size_t)totals[0].count, wanted)) {
        status_fail(message, totals[0].count < 1 ? STATUS_UNREADABLE : STATUS_LIMIT, "%s",
                    totals[0].count < 1 ? "this run holds no readings" : "memory does not hold its readings");
        return status_at(message, back->log->path, 0, 0);
    }
    for (int c = 0; c < back->stream->columns; c++) {
        const struct book_column *column = &back->stream->column[c];
        if (column->channel < CHANNELS)
            series.resolution[column->channel] = column->resolution;
        if (strcmp(column->name, stored_mode_column) == 0)
            back->mode = c + 1;
    }
    series.time_resolution_s = kept->time_resolution_s;
    series.gaps = kept->gaps;
    series.gap_count = kept->gap_count;
    series.gap_capacity = kept->gap_capacity;
    *kept = series;
    return STATUS_OK;
}

static enum status damaged(const struct log *log, const char *what, struct message *message)
{
    status_fail(message, STATUS_MALFORMED, "%s", what);
    status_remedy(message, "check the book with `rundown book check`");
    return status_at(message, log->path, 0, 0);
}

static enum status take_readings(struct book *book, struct back *back, struct message *message)
{
    struct log *log = back->log;
    enum status status = make_series(book, back, message);
    if (status != STATUS_OK)
        return status;
    back->modes = memory_get(BLOCK_READINGS);
    status = stream_walk(book, back->stream->id, -INFINITY, INFINITY, take_block, back, message);
    free(back->modes);
    if (status != STATUS_OK)
        return status;
    log->series.count = back->rows;
    bool gaps_fit = true;
    for (size_t k = 0; k < log->series.gap_count; k++)
        gaps_fit &= log->series.gaps[k].after < back->rows;
    return !back->overrun && back->rows > 0 && gaps_fit
               ? STATUS_OK
               : damaged(log, "the readings of this run are not as many as its summaries say", message);
}

static enum status take_marks(struct book *book, int64_t run, const json_t *lines, struct series *series,
                              struct message *message)
{
    struct book_event_list events;
    enum status status = book_events(book, run, &events, message);
    if (status != STATUS_OK)
        return status;
    size_t marks = 0;
    for (size_t k = 0; k < events.count; k++) {
        if (events.items[k].kind != EVENT_MARK)
            continue;
        long line = (long)json_integer_value(json_array_get(lines, marks++));
        series_mark(series, events.items[k].t_s, events.items[k].text, line);
    }
    book_event_list_free(&events);
    return STATUS_OK;
}

enum status stored_read_log(struct book *book, const struct book_run *run, struct span words, struct log *log,
                            struct message *message)
{
    struct back back = {.log = log};
    struct book_stream_list streams = {0};
    json_t *lines = NULL;
    enum status status = log_words_read(log->path, words, log, &back.times, &lines, message);
    if (status != STATUS_OK)
        return status;
    status = book_streams(book, run->id, &streams, message);
    if (status == STATUS_OK && (streams.count != 1 || streams.items[0].columns > LINK_CHANNELS))
        status = damaged(log, "a log's run has one stream; this one has not", message);
    if (status == STATUS_OK) {
        back.stream = &streams.items[0];
        status = take_readings(book, &back, message);
    }
    if (status == STATUS_OK)
        status = take_marks(book, run->id, lines, &log->series, message);
    log->series.start_utc_s = run->start_utc_s;
    log->series.zone_known = run->zone_known;
    book_stream_list_free(&streams);
    json_decref(lines);
    return status;
}
