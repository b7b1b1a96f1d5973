#include "web/drop_preview.h"

#include "base/memory.h"
#include "base/number.h"
#include "battery/direction.h"
#include "claims/paper_check.h"
#include "intake/log_look.h"
#include "intake/ini.h"
#include "numeric/stats.h"
#include "web/drop_choices.h"

enum { STEPS_LOOKED_AT = 4096 };
static const double gap_intervals = 10; /* a longer step is told as a gap */

static void put_fault(json_t *preview, const struct message *message)
{
    json_put(preview, "fault", json_message(message));
    json_put(preview, "choices", drop_choices(message->remedy));
}

static void put_no_fault(json_t *preview)
{
    json_put(preview, "fault", json_null());
    json_put(preview, "choices", json_array());
}

static json_t *columns_json(const struct column_choice *columns, size_t count)
{
    json_t *list = json_array();
    for (size_t k = 0; k < count; k++) {
        const struct column_choice *choice = &columns[k];
        json_t *one = json_object();
        json_put(one, "number", json_integer((json_int_t)k + 1));
        json_put_words(one, "header", choice->header);
        json_put_words(one, "word", role_option(choice->role, choice->channel));
        json_put_words(one, "unit", choice->unit);
        json_put_words(one, "why", choice->why);
        json_array_append_new(list, one);
    }
    return list;
}

static json_t *first_json(const struct log_look *look)
{
    json_t *list = json_array();
    for (size_t r = 0; r < look->rows; r++) {
        json_t *row = json_object(), *cells = json_array();
        json_put(row, "line", json_integer(look->lines[r]));
        for (size_t c = 0; c < look->column_count; c++)
            json_array_append_new(cells, json_words(look->cells[r * look->column_count + c]));
        json_put(row, "cells", cells);
        json_array_append_new(list, row);
    }
    return list;
}

bool preview_look(const char *path, const struct log_options *options, json_t *preview)
{
    struct log_look look;
    struct message message = {0};
    json_put_words(preview, "form", "log");
    put_no_fault(preview);
    if (log_look(path, options, &look, &message) != STATUS_OK) {
        put_fault(preview, &message);
        return false;
    }
    char delimiter[2] = {look.delimiter, 0}, decimal[2] = {look.decimal, 0};
    json_put(preview, "bytes", json_integer((json_int_t)look.bytes));
    json_put_words(preview, "encoding", look.utf8 ? "UTF-8" : "ISO 8859-1");
    json_put_words(preview, "delimiter", delimiter);
    json_put_words(preview, "decimal", decimal);
    json_put(preview, "header_line", json_integer(look.header_line));
    json_put(preview, "invented", json_boolean(look.invented));
    json_put(preview, "columns", columns_json(look.columns, look.column_count));
    json_put(preview, "first", first_json(&look));
    json_put(preview, "notices", json_notices(&look.notices));
    bool readable = !look.refused;
    if (look.refused)
        put_fault(preview, &look.refusal);
    log_look_free(&look);
    return readable;
}

static json_t *bad_json(const struct log *log)
{
    json_t *list = json_array();
    for (size_t k = 0; k < log->bad_count && k < LOG_BAD_ROWS_LISTED; k++) {
        json_t *one = json_object();
        json_put(one, "line", json_integer(log->bad[k].line));
        json_put(one, "column", json_integer(log->bad[k].column));
        json_put_words(one, "text", log->bad[k].text);
        json_put_words(one, "why", log->bad[k].why);
        json_array_append_new(list, one);
    }
    return list;
}

/* The median of steps evenly spread over the log: of all of them in a short one. */
static double usual_step(const struct series *series)
{
    size_t steps = series->count - 1, taken = steps < STEPS_LOOKED_AT ? steps : STEPS_LOOKED_AT;
    if (taken == 0)
        return NAN;
    double *work = memory_get(2 * taken * sizeof *work);
    for (size_t k = 0; k < taken; k++) {
        size_t at = 1 + k * (steps / taken);
        work[k] = series->t_s[at] - series->t_s[at - 1];
    }
    double median = stats_median(work, taken, work + taken);
    free(work);
    return median;
}

static void put_steps(const struct series *series, json_t *preview)
{
    double usual = usual_step(series), longest = 0;
    size_t gaps = 0;
    for (size_t k = 1; k < series->count; k++) {
        double step = series->t_s[k] - series->t_s[k - 1];
        gaps += step > gap_intervals * usual && usual > 0;
        longest = step > longest ? step : longest;
    }
    json_put(preview, "interval_s", json_number(usual));
    json_put(preview, "gaps", json_integer((json_int_t)gaps + (json_int_t)series->gap_count));
    json_put(preview, "longest_gap_s", gaps > 0 ? json_number(longest) : json_null());
}

/* {"known", "words", "why"}: which way the current counts, and by what that is known. */
static json_t *sign_json(const struct log *log, bool asked)
{
    static const char *const words[] = {"", "discharge is positive", "charge is positive",
                                        "the column of modes gives it"};
    json_t *sign = json_object();
    bool flows = log->series.column[CHANNEL_CURRENT] != NULL || log->series.column[CHANNEL_POWER] != NULL;
    bool known = log->sign != SIGN_NOT_STATED || !flows;
    const char *how = !known ? "memory does not hold what would tell" : asked ? "as you say" : "as the log says";
    const char *what = words[log->sign];
    struct direction direction;
    struct trace trace;
    if (!flows) {
        how = "the log holds neither amps nor watts: there is nothing to add up";
    } else if (!known && trace_of_series(&log->series, &trace)) {
        direction = direction_find(&trace);
        trace_free(&trace);
        known = direction.sign != 0;
        if (known)
            what = words[direction.sign > 0 ? SIGN_DISCHARGE_POSITIVE : SIGN_CHARGE_POSITIVE];
        how = direction.why;
    }
    json_put(sign, "known", json_boolean(known));
    json_put_words(sign, "words", what);
    json_put_words(sign, "why", how);
    return sign;
}

static json_t *instant_json(double utc_s, bool zone_known)
{
    char words[NUMBER_INSTANT];
    if (!isfinite(utc_s))
        return json_null();
    number_print_instant(utc_s, words);
    struct text text = TEXT_EMPTY;
    text_addf(&text, "%s%s", words, zone_known ? " UTC" : " by the log's clock");
    json_t *value = json_words(text_string(&text));
    text_free(&text);
    return value;
}

static void put_log(const struct log *log, bool asked, json_t *preview)
{
    const struct series *series = &log->series;
    json_put(preview, "rows", json_integer(log->rows));
    json_put(preview, "readings", json_integer((json_int_t)series->count));
    json_put(preview, "left_out", json_integer((json_int_t)log->bad_count));
    json_put(preview, "bad", bad_json(log));
    json_put(preview, "missing_cells", json_integer((json_int_t)log->missing_cells));
    json_put(preview, "out_of_order", json_integer((json_int_t)log->out_of_order));
    json_put(preview, "invented", json_boolean(log->invented));
    json_put(preview, "start", instant_json(series->start_utc_s, series->zone_known));
    json_put(preview, "lasts_s", json_number(series->t_s[series->count - 1] - series->t_s[0]));
    put_steps(series, preview);
    json_put(preview, "marks", json_integer((json_int_t)series->mark_count));
    json_put(preview, "sign", sign_json(log, asked));
    json_put(preview, "columns", columns_json(log->columns, log->column_count));
    json_put(preview, "notices", json_notices(&log->notices));
    put_no_fault(preview);
}

enum status preview_whole(const char *path, const struct log_options *options, json_t *preview, struct message *message)
{
    struct log *log = memory_get(sizeof *log);
    enum status status = log_read(path, options, log, message);
    if (status == STATUS_OK) {
        put_log(log, options->sign != SIGN_NOT_STATED, preview);
        log_free(log);
    }
    free(log);
    if (status == STATUS_OK || (options->stopped != NULL && options->stopped(options->context)))
        return status;
    put_fault(preview, message);
    return STATUS_OK;
}

void preview_typed(const char *path, json_t *preview)
{
    struct text text = TEXT_EMPTY;
    struct message message = {0};
    json_t *lines = json_array(), *faults = json_array();
    struct paper_check check = {0};
    put_no_fault(preview);
    if (ini_load(path, &text, &message) != STATUS_OK)
        put_fault(preview, &message);
    else
        paper_check(PAPER_READINGS, "", (struct span){text_string(&text), text.length}, &check);
    for (size_t k = 0; k < check.fault_count; k++)
        json_array_append_new(faults, json_message(&check.faults[k]));
    for (size_t k = 0; k < check.line_count; k++) {
        json_t *one = json_object();
        json_put(one, "line", json_integer(check.lines[k].line));
        json_put_words(one, "kind", check.lines[k].kind);
        json_put_words(one, "taken", check.lines[k].taken);
        json_array_append_new(lines, one);
    }
    if (check.fault_count > 0)
        put_fault(preview, &check.faults[0]);
    json_put_words(preview, "form", "readings");
    json_put(preview, "bytes", json_integer((json_int_t)text.length));
    json_put(preview, "lines", lines);
    json_put(preview, "faults", faults);
    json_put(preview, "notices", json_notices(&check.notices));
    paper_check_free(&check);
    text_free(&text);
}

json_t *preview_roles(void)
{
    static const struct {
        enum column_role role;
        enum channel channel;
    } roles[] = {
        {COLUMN_UNUSED, 0}, {COLUMN_TIME, 0}, {COLUMN_DATE, 0}, {COLUMN_CHANNEL, CHANNEL_VOLTAGE},
        {COLUMN_CHANNEL, CHANNEL_CURRENT}, {COLUMN_CHANNEL, CHANNEL_POWER}, {COLUMN_CHANNEL, CHANNEL_TEMPERATURE},
        {COLUMN_CHANNEL, CHANNEL_AMBIENT}, {COLUMN_CHANNEL, CHANNEL_CHARGE_TALLY},
        {COLUMN_CHANNEL, CHANNEL_ENERGY_TALLY}, {COLUMN_MODE, 0}, {COLUMN_MARK, 0}, {COLUMN_STEP, 0},
        {COLUMN_STEP_TIME, 0},
    };
    json_t *list = json_array();
    for (size_t k = 0; k < sizeof roles / sizeof *roles; k++) {
        json_t *one = json_object();
        json_put_words(one, "word", role_option(roles[k].role, roles[k].channel));
        json_put_words(one, "name", role_name(roles[k].role, roles[k].channel));
        json_array_append_new(list, one);
    }
    return list;
}
