#include "archive/stored.h"

#include "archive/log_words.h"
#include "archive/stored_parts.h"
#include "base/memory.h"
#include "book/stream.h"

/* Columns of the stream: the channels in order, then the mode, then times that seconds do not hold. */
struct plan {
    const struct log *log;
    struct log_times times;
    struct book_stream stream;
    int mode, printed; /* columns, 0 when there is none */
    struct decimal *cells[BLOCK_COLUMNS];
    size_t odd;        /* the next odd cell */
    struct text odd_texts;
};

static struct book_column *add_column(struct book_stream *stream, const char *name, enum channel channel,
                                      enum quantity quantity, struct unit unit)
{
    struct book_column *column = &stream->column[stream->columns++];
    *column = (struct book_column){.channel = channel, .quantity = quantity, .unit = unit};
    snprintf(column->name, sizeof column->name, "%s", name);
    return column;
}

static const char *symbol_of(const struct log *log, enum column_role role, enum channel channel)
{
    for (size_t k = 0; k < log->column_count; k++)
        if (log->columns[k].role == role && (role != COLUMN_CHANNEL || log->columns[k].channel == channel))
            return log->columns[k].unit;
    return "";
}

static void plan_columns(struct plan *plan)
{
    const struct log *log = plan->log;
    struct book_stream *stream = &plan->stream;
    snprintf(stream->name, sizeof stream->name, "%s", stored_log_stream);
    for (int c = 0; c < CHANNELS; c++) {
        if (log->series.column[c] == NULL)
            continue;
        enum channel channel = (enum channel)c;
        struct book_column *column =
            add_column(stream, channel_name(channel), channel, channel_quantity(channel), log->digits.unit[c]);
        column->resolution = log->series.resolution[c];
        snprintf(column->unit_symbol, sizeof column->unit_symbol, "%s", symbol_of(log, COLUMN_CHANNEL, channel));
    }
    if (log->digits.mode != NULL) {
        (void)add_column(stream, stored_mode_column, CHANNELS, QUANTITY_NONE, (struct unit){QUANTITY_NONE, 1, 0});
        plan->mode = stream->columns;
    }
    if (!log_times_hold_printed(log, &plan->times)) {
        struct book_column *column =
            add_column(stream, stored_printed_column, CHANNELS, QUANTITY_TIME, log->digits.time_unit);
        snprintf(column->unit_symbol, sizeof column->unit_symbol, "%s", symbol_of(log, COLUMN_TIME, 0));
        plan->printed = stream->columns;
    }
}

static void fill_channel(const struct log *log, int channel, size_t from, size_t count, struct decimal *cells)
{
    const uint8_t *byte = log->digits.column[channel] + from;
    const double *own = log->series.column[channel] + from;
    const int8_t *mode = log->digits.mode != NULL ? log->digits.mode + from : NULL;
    const bool *turned = log->digits.turned[channel];
    for (size_t k = 0; k < count; k++) {
        bool turn = mode != NULL && ((mode[k] == 1 && turned[0]) || (mode[k] == -1 && turned[1]));
        cells[k] = digits_decimal(byte[k], turn ? -own[k] : own[k], &log->digits.unit[channel]);
    }
}

static void fill_printed(const struct log *log, size_t from, size_t count, struct decimal *cells)
{
    const struct digits *digits = &log->digits;
    for (size_t k = 0; k < count; k++)
        cells[k] = digits->printed != NULL
                       ? digits->printed[from + k]
                       : digits_decimal(digits->time[from + k], log->series.t_s[from + k], &digits->time_unit);
}

static void fill_odd(struct plan *plan, size_t before)
{
    const struct digits *digits = &plan->log->digits;
    plan->odd_texts.length = 0;
    for (; plan->odd < digits->odd_count && digits->odd[plan->odd].row < before; plan->odd++) {
        if (digits->odd[plan->odd].channel == CHANNELS && plan->printed == 0)
            continue;
        text_add(&plan->odd_texts, digits->odd[plan->odd].text);
        text_add(&plan->odd_texts, "\n");
    }
}

static void fill(struct plan *plan, size_t from, size_t count)
{
    const struct log *log = plan->log;
    int column = 1;
    for (size_t k = 0; k < count; k++)
        plan->cells[0][k] = log_times_decimal(&plan->times, log->series.t_s[from + k]);
    for (int c = 0; c < CHANNELS; c++)
        if (log->series.column[c] != NULL)
            fill_channel(log, c, from, count, plan->cells[column++]);
    for (size_t k = 0; k < count && plan->mode > 0; k++)
        plan->cells[plan->mode][k] = (struct decimal){.mantissa = log->digits.mode[from + k], .kind = DECIMAL_NUMBER};
    if (plan->printed > 0)
        fill_printed(log, from, count, plan->cells[plan->printed]);
    fill_odd(plan, from + count);
}

static enum status put_readings(struct book *book, int64_t stream, struct plan *plan,
                                const struct stored_request *request, struct message *message)
{
    enum status status = STATUS_OK;
    size_t all = plan->log->series.count;
    int columns = plan->stream.columns + 1;
    for (int c = 0; c < columns; c++)
        plan->cells[c] = memory_get(BLOCK_READINGS * sizeof *plan->cells[c]);
    for (size_t from = 0; from < all && status == STATUS_OK; from += BLOCK_READINGS) {
        size_t count = all - from < BLOCK_READINGS ? all - from : BLOCK_READINGS;
        fill(plan, from, count);
        struct block_columns block = {.count = count, .columns = columns, .odd = text_string(&plan->odd_texts)};
        for (int c = 0; c < columns; c++)
            block.cells[c] = plan->cells[c];
        status = stream_fill(book, stream, &block, message);
        if (request->progress != NULL)
            request->progress(request->context, (double)(from + count) / (double)all);
    }
    for (int c = 0; c < columns; c++)
        free(plan->cells[c]);
    text_free(&plan->odd_texts);
    return status;
}

static enum status put_marks(struct book *book, int64_t run, const struct series *series, struct message *message)
{
    enum status status = STATUS_OK;
    for (size_t k = 0; k < series->mark_count && status == STATUS_OK; k++) {
        struct book_event event = {.kind = EVENT_MARK, .t_s = series->marks[k].t_s, .until_s = NAN,
                                   .topic = "mark", .text = series->marks[k].words};
        status = book_event_add(book, run, &event, message);
    }
    return status;
}

static enum status put_all(struct book *book, const struct stored_request *request, struct plan *plan,
                           int64_t *ret_run, struct message *message)
{
    const struct log *log = plan->log;
    struct book_run run = request->run;
    run.origin = TEST_IMPORTED;
    run.start_utc_s = log->series.start_utc_s;
    run.zone_known = log->series.zone_known;
    run.open = false;
    run.end_s = log->series.t_s[log->series.count - 1];
    run.invented |= log->invented;
    stored_take_name(log->path, &run);
    struct text words = TEXT_EMPTY;
    log_words_write(log, &plan->times, &words);
    enum status status = book_run_add(book, &run, ret_run, message);
    if (status == STATUS_OK)
        status = book_run_text_put(book, *ret_run, stored_log_topic, (struct span){words.s, words.length}, message);
    if (status == STATUS_OK)
        status = put_marks(book, *ret_run, &log->series, message);
    plan->stream.run = *ret_run;
    int64_t stream = 0;
    if (status == STATUS_OK)
        status = stream_add(book, &plan->stream, &stream, message);
    if (status == STATUS_OK)
        status = put_readings(book, stream, plan, request, message);
    text_free(&words);
    return status;
}

enum status stored_log(struct book *book, const struct stored_request *request, const struct log *log,
                       int64_t *ret_run, struct message *message)
{
    struct plan *plan = memory_get(sizeof *plan);
    plan->log = log;
    plan->times = log_times_find(log);
    plan_columns(plan);
    int64_t run = 0;
    enum status status = book_begin(book, message);
    if (status == STATUS_OK) {
        status = put_all(book, request, plan, &run, message);
        if (status == STATUS_OK)
            status = book_commit(book, message);
        else
            book_rollback(book);
    }
    free(plan);
    if (status == STATUS_OK)
        *ret_run = run;
    return status;
}
