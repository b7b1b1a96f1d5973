#include "intake/log.h"

#include "base/memory.h"
#include "intake/columns.h"
#include "intake/evidence.h"
#include "intake/ordering.h"
#include "intake/resolution.h"

/* A preamble has a few lines with two numbers or more; many may be readings of another kind. */
enum { STRAYS_TOLD = 8 };

static enum status check_rows(const struct rows *rows, const struct columns *columns,
                              const struct source *source, struct message *message)
{
    if (rows->moved_header > 0) {
        status_fail(message, STATUS_AMBIGUOUS, "a header inside the log names its columns in another order");
        status_remedy(message, "save what follows it as a log of its own");
        return status_at(message, source->name, rows->moved_header, 0);
    }
    if (rows->series.count == 0) {
        status_fail(message, STATUS_UNREADABLE, "no row can be read; the first fails because: %s",
                    rows->bad_count > 0 ? rows->bad[0].why : "there is none");
        return status_at(message, source->name,
                         rows->bad_count > 0 ? rows->bad[0].line : columns->plan.layout->data_line, 0);
    }
    if (rows->bad_count > rows->series.count) {
        status_fail(message, STATUS_UNREADABLE,
                    "%zu rows cannot be read and only %zu can; the first of them: %s", rows->bad_count,
                    rows->series.count, rows->bad[0].why);
        status_remedy(
            message,
            "see whether the columns are the right ones: --column takes others, or leaves one out with "
            "--column unused=N");
        return status_at(message, source->name, rows->bad[0].line, rows->bad[0].column);
    }
    return STATUS_OK;
}

static double widest_step(const struct series *series)
{
    double widest = 0;
    for (size_t k = 1; k < series->count; k++)
        widest = fmax(widest, fabs(series->t_s[k] - series->t_s[k - 1]));
    return widest;
}

/* Do the rows lie at the same distances in time? */
static bool run_alike(const struct rows *a, const struct rows *b)
{
    const double *x = a->series.t_s, *y = b->series.t_s;
    bool alike = a->series.count == b->series.count && a->bad_count == b->bad_count;
    for (size_t k = 1; alike && k < a->series.count; k++)
        alike = x[k] - x[0] == y[k] - y[0];
    return alike;
}

/* Which of two ways to read the dates the log bears out: the one that leaves fewer rows unread, or that
 * runs on where the other jumps by weeks. 0: the first, 1: the second, -1: neither more than the other. */
static int borne_out(const struct rows *first, const struct rows *second)
{
    static const double two_days = 2 * 86400.0;
    if (first->bad_count != second->bad_count)
        return second->bad_count < first->bad_count;
    bool first_runs = widest_step(&first->series) <= two_days;
    bool second_runs = widest_step(&second->series) <= two_days;
    return first_runs == second_runs ? -1 : second_runs;
}

static enum status refuse_order(const struct source *source, const struct columns *columns,
                                struct message *message)
{
    int column = (columns->plan.date >= 0 ? columns->plan.date : columns->plan.time) + 1;
    const char *role = columns->plan.date >= 0 ? "date" : "time";
    status_fail(message, STATUS_AMBIGUOUS,
                "whether the day or the month comes first in the dates cannot be told");
    status_remedy(message, "say which: --column %s=%d:dmy or --column %s=%d:mdy", role, column, role, column);
    return status_at(message, source->name, columns->plan.layout->data_line, 0);
}

/* Reads the rows; where the first stretch leaves the order of day and month open, both ways. */
static enum status read_either(const struct source *source, struct columns *columns,
                               const struct rows_how *how, struct rows *ret_rows, struct message *message)
{
    struct stamp_form *form = &columns->plan.form;
    struct rows rows, other;
    bool open = form->kind == STAMP_DATED && form->order == DATE_ORDER_UNKNOWN;
    form->order = open ? DATE_DAY_FIRST : form->order;
    enum status status = rows_read(source, &columns->plan, how, &rows, message);
    if (status != STATUS_OK || !open || !rows.order_open) {
        if (status == STATUS_OK)
            *ret_rows = rows;
        return status;
    }
    form->order = DATE_MONTH_FIRST;
    status = rows_read(source, &columns->plan, how, &other, message);
    if (status != STATUS_OK) {
        rows_free(&rows);
        return status;
    }
    columns->order_unknown = run_alike(&rows, &other);
    int month_first = columns->order_unknown ? 0 : borne_out(&rows, &other);
    if (month_first < 0)
        status = refuse_order(source, columns, message);
    else
        *ret_rows = month_first ? other : rows;
    if (month_first != 0)
        rows_free(&rows);
    if (month_first != 1)
        rows_free(&other);
    return status;
}

/* Amps (or watts, where there are no amps) summed over the rows of a direction. */
static double sum_in_mode(const struct rows *rows, const double *flow, int mode)
{
    double sum = 0;
    for (size_t k = 0; k < rows->series.count; k++)
        if (rows->mode[k] == mode && !isnan(flow[k]))
            sum += flow[k];
    return sum;
}

/* Gives an unsigned column its sign: positive while discharging. A mode that is no known word leaves the
 * direction unknown, and so the number. Returns how many those are. */
static size_t sign_by_mode(struct rows *rows, enum channel channel, char decimal, bool flip_discharge,
                           bool flip_charge)
{
    enum { NO_MODE = 2 };
    double *flow = rows->series.column[channel];
    size_t unknown = 0;
    rows->digits.turned[channel][0] = flip_discharge;
    rows->digits.turned[channel][1] = flip_charge;
    for (size_t k = 0; flow != NULL && k < rows->series.count; k++) {
        if ((rows->mode[k] == 1 && flip_discharge) || (rows->mode[k] == -1 && flip_charge))
            flow[k] = -flow[k];
        if (rows->mode[k] == NO_MODE && !isnan(flow[k]) && flow[k] != 0) {
            digits_set_aside(&rows->digits, k, channel, flow[k], decimal);
            flow[k] = NAN;
            unknown++;
        }
    }
    return unknown;
}

/* What a mode column says of the current's sign: where charge and discharge have opposite signs it is the
 * log's own, where they have the same sign the modes give it. */
static enum sign_stated apply_mode(struct log *log, struct rows *rows)
{
    double *amps = rows->series.column[CHANNEL_CURRENT], *watts = rows->series.column[CHANNEL_POWER];
    double *flow = amps != NULL ? amps : watts;
    double discharge = sum_in_mode(rows, flow, 1), charge = sum_in_mode(rows, flow, -1);
    if (discharge == 0 && charge == 0)
        return SIGN_NOT_STATED;
    if (discharge * charge <= 0)
        return discharge > 0 || charge < 0 ? SIGN_DISCHARGE_POSITIVE : SIGN_CHARGE_POSITIVE;
    bool watts_too =
        watts != NULL && watts != flow && sum_in_mode(rows, watts, 1) * sum_in_mode(rows, watts, -1) > 0;
    enum channel channel = amps != NULL ? CHANNEL_CURRENT : CHANNEL_POWER;
    size_t unknown = sign_by_mode(rows, channel, log->decimal, discharge < 0, charge > 0);
    if (watts_too)
        (void)sign_by_mode(rows, CHANNEL_POWER, log->decimal, sum_in_mode(rows, watts, 1) < 0,
                           sum_in_mode(rows, watts, -1) > 0);
    log->missing_cells += unknown;
    if (unknown > 0)
        notices_add(
            &log->notices, "columns", 0,
            "In %zu rows the mode is neither charge, discharge nor rest: their unsigned current has no "
            "direction and is left out.",
            unknown);
    return SIGN_BY_MODE;
}

static void say_what_was_done(struct log *log, const struct rows *rows, const struct ordered *ordered)
{
    struct notices *notices = &log->notices;
    if (log->bad_count > 0)
        notices_add(notices, "rows", rows->bad[0].line,
                    "%zu row%s could not be read and %s left out; the first is line %ld: %s.", log->bad_count,
                    log->bad_count > 1 ? "s" : "", log->bad_count > 1 ? "are" : "is", rows->bad[0].line,
                    rows->bad[0].why);
    if (rows->marks_left_out > 0)
        notices_add(notices, "rows", 0,
                    "The column of marks changes too often: %zu marks after the first %d are left out.",
                    rows->marks_left_out, ROWS_MARKS_MOST);
    if (rows->repeats > 0)
        notices_add(notices, "rows", 0, "%zu header line%s inside the log %s passed over.", rows->repeats,
                    rows->repeats > 1 ? "s" : "", rows->repeats > 1 ? "are" : "is");
    if (ordered->reversed)
        notices_add(notices, "clock", 0, "The log has its newest row first; it is read from its end.");
    if (ordered->late > 0)
        notices_add(notices, "clock", 0, "%zu row%s stood behind later ones and %s put in the order of time.",
                    ordered->late, ordered->late > 1 ? "s" : "", ordered->late > 1 ? "are" : "is");
    if (ordered->midnights > 0)
        notices_add(notices, "clock", 0, "The time of day passes midnight %zu time%s.", ordered->midnights,
                    ordered->midnights > 1 ? "s" : "");
    if (ordered->restarts > 0)
        notices_add(notices, "clock", 0,
                    "The clock was restarted or set back %zu time%s, and went back to an earlier count %zu "
                    "time%s: intervals are sure only between; each joint is assumed to last one interval.",
                    ordered->restarts, ordered->restarts > 1 ? "s" : "", ordered->returns,
                    ordered->returns != 1 ? "s" : "");
}

static void put_marks(struct series *series, const struct rows *rows)
{
    for (size_t k = 0; k < rows->event_count; k++)
        if (rows->events[k].words != NULL)
            series_mark(series, rows->events[k].t_s, rows->events[k].words, rows->events[k].line);
}

static void set_resolutions(struct series *series, const struct columns *columns)
{
    for (int c = 0; c < CHANNELS; c++) {
        double factor = 1;
        for (size_t k = 0; k < columns->plan.task_count; k++)
            if (columns->plan.tasks[k].role == COLUMN_CHANNEL && (int)columns->plan.tasks[k].channel == c)
                factor = columns->plan.tasks[k].unit.factor;
        if (series->column[c] != NULL)
            series->resolution[c] =
                resolution_find(series->column[c], series->count, columns->typed_decimals[c], factor);
    }
    series->time_resolution_s = columns->plan.period_s > 0 ? 0 : columns->time_digit_s;
}

/* The first row may have been a late one, or the base a day by another order of day and month. */
static void start_at_zero(struct series *series)
{
    double first = series->t_s[0];
    if (first == 0)
        return;
    for (size_t k = 0; k < series->count; k++)
        series->t_s[k] -= first;
    for (size_t k = 0; k < series->mark_count; k++)
        series->marks[k].t_s -= first;
    series->start_utc_s += first;
}

static enum status check_clock(const struct series *series, const struct ordered *ordered,
                               const struct columns *columns, const char *name, struct message *message)
{
    bool stands = series->count > 2 && series->t_s[0] == series->t_s[series->count - 1];
    if (!ordered->senseless && !stands)
        return STATUS_OK;
    status_fail(message, STATUS_AMBIGUOUS, "column %d is no time: it %s", columns->plan.time + 1,
                stands ? "never moves" : "goes back every few rows");
    status_remedy(message,
                  "name the time with --column time=N, or give --period 1s when rows are evenly spaced");
    return status_at(message, name, columns->plan.layout->data_line, 0);
}

static void take_digits(struct log *log, struct rows *rows)
{
    log->digits = rows->digits;
    log->digits.mode = rows->mode;
    digits_sort_odd(&log->digits);
    rows->digits = (struct digits){0};
    rows->mode = NULL;
}

/* Turns the rows, in the order of the file, into the log's series. */
static enum status finish(struct log *log, struct columns *columns, struct rows *rows, const char *name,
                          struct message *message)
{
    struct ordered ordered = {0};
    const struct stamp_form *form = &columns->plan.form;
    log->sign = columns->sign;
    log->missing_cells = rows->missing;
    log->bad_count = rows->bad_count;
    log->rows = (long)(rows->series.count + rows->bad_count);
    memcpy(log->bad, rows->bad, sizeof log->bad);
    if (rows->mode != NULL &&
        (rows->series.column[CHANNEL_CURRENT] != NULL || rows->series.column[CHANNEL_POWER] != NULL)) {
        enum sign_stated by_mode = apply_mode(log, rows);
        log->sign = by_mode != SIGN_NOT_STATED ? by_mode : log->sign;
    }
    struct ordering ordering = {.absolute = form->absolute,
                                .clock = form->kind == STAMP_CLOCK,
                                .time_of_day = form->kind == STAMP_CLOCK && columns->plan.zero > 0,
                                .step_time = columns->step_time};
    set_resolutions(&rows->series, columns);
    if ((rows->unordered || ordering.step_time) && !digits_keep_times(&rows->digits, &rows->series)) {
        status_fail(message, STATUS_LIMIT, "memory does not hold its %zu times", rows->series.count);
        return status_at(message, name, 0, 0);
    }
    order_rows(rows, &ordering, &ordered);
    enum status status = check_clock(&rows->series, &ordered, columns, name, message);
    if (status != STATUS_OK)
        return status;
    put_marks(&rows->series, rows);
    say_what_was_done(log, rows, &ordered);
    log->out_of_order = ordered.late;
    log->series = rows->series;
    log->series.start_utc_s = form->absolute ? form->origin_s : columns->start_utc_s;
    if (form->absolute || ordering.time_of_day)
        start_at_zero(&log->series);
    if (columns->order_unknown) {
        log->series.start_utc_s = NAN;
        notices_add(
            &log->notices, "clock", columns->plan.layout->data_line,
            "Whether the day or the month comes first in the date cannot be told, so the date is left out.");
    }
    log->series.zone_known =
        rows->zone || columns->utc || (form->absolute && form->kind == STAMP_NUMBER && form->factor <= 1);
    rows->series = (struct series){0};
    if (rows->digits.capacity > 0)
        take_digits(log, rows);
    return STATUS_OK;
}

static void take_sign(struct log *log, enum sign_stated sign)
{
    log->sign = sign;
    notices_add(&log->notices, "columns", 0, "Whoever read the log said which way its current counts: %s is positive.",
                sign == SIGN_CHARGE_POSITIVE ? "charge" : "discharge");
}

static enum status read_source(const struct source *source, const struct log_options *options,
                               struct log *log, struct message *message)
{
    struct log_layout layout;
    struct columns columns;
    struct rows rows = {0};
    struct rows_how how = {
        .threads = options->threads, .digits = options->digits, .progress = options->progress, .stopped = options->stopped,
        .context = options->context};
    enum status status = log_layout_find(source, &layout, message);
    if (status != STATUS_OK)
        return status;
    status = columns_find(&layout, source->name, options, &columns, &log->notices, message);
    if (status != STATUS_OK) {
        log_layout_free(&layout);
        return status;
    }
    log->delimiter = layout.delimiter;
    log->decimal = layout.decimal;
    log->first_line = layout.data_line;
    log->invented = evidence_invented(&layout);
    if (layout.strays >= STRAYS_TOLD)
        notices_add(
            &log->notices, "rows", layout.data_line,
            "%zu lines before the first row hold numbers too, but are laid out otherwise and are not read.",
            layout.strays);
    status = read_either(source, &columns, &how, &rows, message);
    if (status == STATUS_OK) {
        status = check_rows(&rows, &columns, source, message);
        if (status == STATUS_OK)
            status = finish(log, &columns, &rows, source->name, message);
        if (status == STATUS_OK && options->sign != SIGN_NOT_STATED)
            take_sign(log, options->sign);
        if (status == STATUS_OK) {
            log->columns = columns.choices;
            log->column_count = columns.count;
            columns.choices = NULL;
        }
        rows_free(&rows);
    }
    columns_free(&columns);
    log_layout_free(&layout);
    return status;
}

enum status log_read(const char *path, const struct log_options *options, struct log *ret_log,
                     struct message *message)
{
    struct source source;
    enum status status = source_open(path, &source, message);
    if (status != STATUS_OK)
        return status;
    struct log *log = memory_get(sizeof *log);
    snprintf(log->path, sizeof log->path, "%s", path);
    status = read_source(&source, options, log, message);
    if (status == STATUS_OK)
        *ret_log = *log;
    else
        log_free(log);
    free(log);
    source_close(&source);
    return status;
}

const char *log_keep(struct log *log, const char *words)
{
    for (size_t k = 0; k < log->kept_count; k++)
        if (strcmp(log->kept[k], words) == 0)
            return log->kept[k];
    log->kept = memory_grow(log->kept, log->kept_count, &log->kept_capacity);
    log->kept[log->kept_count] = memory_copy_string(words);
    return log->kept[log->kept_count++];
}

void log_free(struct log *log)
{
    series_free(&log->series);
    digits_free(&log->digits);
    free(log->columns);
    notices_free(&log->notices);
    for (size_t k = 0; k < log->kept_count; k++)
        free(log->kept[k]);
    free(log->kept);
    log->kept = NULL;
    log->kept_count = log->kept_capacity = 0;
    log->columns = NULL;
    log->column_count = 0;
}
