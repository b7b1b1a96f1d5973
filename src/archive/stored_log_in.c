#include "archive/stored.h"

#include "archive/log_blocks.h"
#include "archive/log_words.h"
#include "archive/stored_parts.h"
#include "book/stream.h"

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

static void plan_columns(struct log_plan *plan, struct book_stream *stream)
{
    const struct log *log = plan->log;
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
    plan->columns = stream->columns + 1;
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

static enum status put_all(struct book *book, const struct stored_request *request, struct log_plan *plan,
                           int64_t *ret_run, struct message *message)
{
    const struct log *log = plan->log;
    struct book_run run = request->run;
    struct book_stream made = {0};
    plan_columns(plan, &made);
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
    made.run = *ret_run;
    int64_t stream = 0;
    if (status == STATUS_OK)
        status = stream_add(book, &made, &stream, message);
    if (status == STATUS_OK)
        status = log_blocks_put(book, stream, plan, request, message);
    text_free(&words);
    return status;
}

enum status stored_log(struct book *book, const struct stored_request *request, const struct log *log,
                       int64_t *ret_run, struct message *message)
{
    struct log_plan plan = {.log = log, .times = log_times_find(log)};
    int64_t run = 0;
    enum status status = book_begin(book, message);
    if (status == STATUS_OK) {
        status = put_all(book, request, &plan, &run, message);
        if (status == STATUS_OK)
            status = book_commit(book, message);
        else
            book_rollback(book);
    }
    if (status == STATUS_OK)
        *ret_run = run;
    return status;
}
