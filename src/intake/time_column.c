#include "intake/time_column.h"

#include "intake/cells.h"

static struct span cell_at(const struct chooser *chooser, size_t line, int column)
{
    struct span cells[LAYOUT_COLUMNS];
    size_t count = log_layout_cells(chooser->layout, &chooser->layout->lines[line], cells);
    return column >= 0 && (size_t)column < count ? cells[column] : (struct span){column >= 0 ? "" : NULL, 0};
}

static bool mostly_numbers(const struct column_look *look)
{
    return look->numbers > 0 && look->numbers >= look->times + look->words;
}

/* The kind of the first cell that is a time in words; false when there is none. */
static bool find_text_form(const struct chooser *chooser, int date, int time, struct stamp_form *ret_form)
{
    const struct log_layout *layout = chooser->layout;
    for (size_t k = layout->preamble_count; k < layout->line_count; k++)
        if (stamp_form_find(cell_at(chooser, k, date), cell_at(chooser, k, time), ret_form))
            return true;
    return false;
}

static size_t unread(const struct chooser *chooser, const struct stamp_form *form, int date, int time,
                     bool *ret_open)
{
    const struct log_layout *layout = chooser->layout;
    size_t count = 0;
    for (size_t k = layout->preamble_count; k < layout->line_count; k++) {
        struct stamp read;
        if (!stamp_read(form, cell_at(chooser, k, date), cell_at(chooser, k, time), &read))
            count++;
        else
            *ret_open |= !read.order_free;
    }
    return count;
}

/* Day or month first: as asked, else as the one that reads more of the cells; else left open. */
static void settle_order(struct chooser *chooser, struct stamp_form *form, int date, int time)
{
    struct span asked = span_of(chooser->time_detail);
    struct stamp_form day_first = *form, month_first = *form;
    day_first.order = DATE_DAY_FIRST;
    month_first.order = DATE_MONTH_FIRST;
    if (span_is_word(asked, "dmy") || span_is_word(asked, "mdy")) {
        *form = span_is_word(asked, "dmy") ? day_first : month_first;
        return;
    }
    bool open = false;
    size_t by_day = unread(chooser, &day_first, date, time, &open);
    size_t by_month = unread(chooser, &month_first, date, time, &open);
    form->order = by_day < by_month   ? DATE_DAY_FIRST
                  : by_month < by_day ? DATE_MONTH_FIRST
                                      : DATE_ORDER_UNKNOWN;
}

/* Dates with a zone, or without one, whichever the log's beginning has more of. */
static void settle_zones(const struct chooser *chooser, struct stamp_form *form, int date, int time)
{
    const struct log_layout *layout = chooser->layout;
    size_t stated = 0, absent = 0;
    for (size_t k = layout->preamble_count; k < layout->line_count; k++) {
        struct stamp read;
        if (stamp_read(form, cell_at(chooser, k, date), cell_at(chooser, k, time), &read))
            *(read.zone ? &stated : &absent) += 1;
    }
    form->zones = stated >= absent ? ZONES_STATED : ZONES_ABSENT;
}

static size_t colons(struct span cell)
{
    size_t count = 0;
    for (size_t k = 0; k < cell.n; k++)
        count += cell.p[k] == ':';
    return count;
}

/* `12:34` is hours and minutes or minutes and seconds: the header or the option must say. */
static enum status settle_minutes(struct chooser *chooser, struct stamp_form *form, int time,
                                  struct message *message)
{
    struct span cell = cell_at(chooser, chooser->layout->preamble_count, time);
    struct span header = span_of(chooser->out->choices[time].header), asked = span_of(chooser->time_detail);
    bool open = form->kind == STAMP_CLOCK && colons(cell) == 1 && memchr(cell.p, '.', cell.n) == NULL;
    if (!open || span_has_word(asked, "h:m") || span_has_word(asked, "hh:m") || span_has_word(header, "h:m"))
        return STATUS_OK;
    if (span_has_word(asked, "m:s") || span_has_word(header, "m:s")) {
        form->minutes_first = true;
        return STATUS_OK;
    }
    char text[32];
    cell_copy(cell, text, sizeof text);
    status_fail(message, STATUS_AMBIGUOUS, "the time '%s' may be hours and minutes or minutes and seconds",
                text);
    status_remedy(message, "say which: --column time=%d:hh:mm or --column time=%d:mm:ss", time + 1, time + 1);
    return status_at(message, chooser->name, chooser->layout->data_line, 0);
}

/* The last digit of a text time is worth 10^-decimals seconds. */
static int clock_decimals(struct span cell)
{
    size_t k = cell.n;
    while (k > 0 && cell.p[k - 1] != '.' && cell.p[k - 1] != ',' && cell.p[k - 1] != ':')
        k--;
    int count = 0;
    bool fraction = k > 0 && cell.p[k - 1] != ':';
    while (fraction && k < cell.n && cell.p[k] >= '0' && cell.p[k] <= '9')
        k++, count++;
    return count;
}

static enum status use_text(struct chooser *chooser, int date, int time, struct message *message)
{
    const struct log_layout *layout = chooser->layout;
    struct row_plan *plan = &chooser->out->plan;
    struct stamp_form form = {0};
    if (!find_text_form(chooser, date, time, &form)) {
        char text[48];
        cell_copy(cell_at(chooser, layout->preamble_count, time), text, sizeof text);
        status_fail(message, STATUS_UNREADABLE, "the time '%s' in column %d is in no known form", text,
                    time + 1);
        status_remedy(
            message,
            "name another column with --column time=N, or give --period 1s when rows are evenly spaced");
        return status_at(message, chooser->name, layout->data_line, 0);
    }
    enum status status = settle_minutes(chooser, &form, time, message);
    if (status != STATUS_OK)
        return status;
    if (form.kind == STAMP_DATED) {
        settle_order(chooser, &form, date, time);
        settle_zones(chooser, &form, date, time);
    }
    for (size_t k = layout->preamble_count; k < layout->line_count; k++) {
        struct stamp read;
        if (!stamp_read(&form, cell_at(chooser, k, date), cell_at(chooser, k, time), &read))
            continue;
        static const double a_day = 86400, a_minute = 60;
        if (form.kind == STAMP_DATED) {
            form.origin_s = read.s;
            form.base_day = (int64_t)floor(read.s / a_day);
            (void)stamp_read(&form, cell_at(chooser, k, date), cell_at(chooser, k, time), &read);
            plan->zero = read.s;
        } else if (read.s >= a_minute) { /* a time of day; elapsed time starts near zero */
            plan->zero = read.s;
        }
        break;
    }
    plan->form = form;
    plan->time = time;
    plan->date = date;
    struct span first = cell_at(chooser, layout->preamble_count, time);
    int decimals = clock_decimals(first);
    bool to_the_minute = colons(first) == 1 && !form.minutes_first && decimals == 0;
    chooser->out->time_digit_s = to_the_minute ? 60 : pow(10, -decimals);
    return STATUS_OK;
}

/* 20230403120000: a date and a clock run together. */
static bool is_compact(double number)
{
    return number >= 19700101000000.0 && number < 21000101000000.0;
}

static enum status use_number(struct chooser *chooser, int time, struct message *message)
{
    struct row_plan *plan = &chooser->out->plan;
    const struct column_look *look = &chooser->looks[time];
    const struct unit *unit = &chooser->units[time];
    bool has_unit = unit->quantity == QUANTITY_TIME;
    struct stamp_form form = {.kind = STAMP_NUMBER, .factor = has_unit ? unit->factor : 1}, epoch;
    static const double serial_1970 = 25569, a_day = 86400; /* days from 1899-12-30 to 1970-01-01 */
    if (!has_unit && look->decimals == 0 && is_compact(look->first)) {
        status_fail(message, STATUS_UNREADABLE, "times run together as in %.0f are not read", look->first);
        status_remedy(message, "export them as 2023-04-03 12:00:00");
        return status_at(message, chooser->name, chooser->layout->data_line, 0);
    }
    if (stamp_epoch_find(look->first, &epoch) && (!has_unit || epoch.factor == form.factor)) {
        form = epoch;
        plan->zero = look->first;
        form.origin_s = look->first * form.factor;
    } else if (!has_unit && chooser->headers[time].wall_clock && look->first > 30000 && look->first < 80000) {
        form.absolute = true;
        form.factor = a_day;
        plan->zero = look->first;
        form.origin_s = (look->first - serial_1970) * a_day;
    } else if (!has_unit && !chooser->asked[time]) {
        notices_add(
            chooser->notices, "clock", chooser->header_line,
            "The time column gives no unit: its numbers are taken as seconds. --column time=%d:min says otherwise.",
            time + 1);
    }
    plan->form = form;
    plan->time = time;
    plan->date = -1;
    chooser->out->time_digit_s = pow(10, -look->decimals) * form.factor;
    chooser->out->choices[time].factor = form.factor;
    return STATUS_OK;
}

static bool usable(const struct chooser *chooser, size_t k, enum column_role role)
{
    return !chooser->taken[k] && chooser->headers[k].role == role && chooser->headers[k].rank > RANK_NEVER &&
           chooser->looks[k].words <= chooser->looks[k].numbers + chooser->looks[k].times;
}

/* Two columns of one elapsed time in different units run alike. */
static bool run_alike(const struct chooser *chooser, int a, int b)
{
    const struct column_look *x = &chooser->looks[a], *y = &chooser->looks[b];
    double span_a =
        (x->last - x->first) * (chooser->headers[a].has_unit ? chooser->headers[a].unit.factor : 1);
    double span_b =
        (y->last - y->first) * (chooser->headers[b].has_unit ? chooser->headers[b].unit.factor : 1);
    return evidence_same(chooser->layout, (size_t)a, (size_t)b) ||
           fabs(span_a - span_b) <= 0.01 * fabs(span_a);
}

static enum status find_elapsed(const struct chooser *chooser, enum column_role role, int *ret_column,
                                struct message *message)
{
    int best = -1;
    for (int k = 0; k < (int)chooser->out->count; k++) {
        if (!usable(chooser, (size_t)k, role) || !mostly_numbers(&chooser->looks[k]))
            continue;
        const struct header *header = &chooser->headers[k];
        bool better = best < 0 || header->rank > chooser->headers[best].rank ||
                      (header->rank == chooser->headers[best].rank && chooser->headers[best].wall_clock &&
                       !header->wall_clock);
        bool rival = best >= 0 && header->rank == chooser->headers[best].rank &&
                     header->wall_clock == chooser->headers[best].wall_clock;
        if (rival && !run_alike(chooser, best, k)) {
            status_fail(message, STATUS_AMBIGUOUS, "two columns could each be the time: %d '%s' and %d '%s'",
                        best + 1, chooser->out->choices[best].header, k + 1, chooser->out->choices[k].header);
            status_remedy(message, "say which: --column time=%d or --column time=%d", best + 1, k + 1);
            return status_at(message, chooser->name, chooser->header_line, 0);
        }
        best = better ? k : best;
    }
    *ret_column = best;
    return STATUS_OK;
}

/* Texts of time among the columns that are named as such, or among all: whole stamps before clocks. */
static bool find_texts_among(const struct chooser *chooser, bool all, int *ret_date, int *ret_time)
{
    int dated = -1, date = choice_of(chooser, COLUMN_DATE, 0), clock = -1;
    for (int k = 0; k < (int)chooser->out->count; k++) {
        const struct column_look *look = &chooser->looks[k];
        struct stamp_form form;
        bool named = usable(chooser, (size_t)k, COLUMN_TIME) || usable(chooser, (size_t)k, COLUMN_DATE);
        if ((!named && !all) || chooser->taken[k] || look->times == 0 ||
            look->times < look->numbers + look->words)
            continue;
        bool whole = find_text_form(chooser, -1, k, &form);
        bool with_clock = whole && colons(cell_at(chooser, chooser->layout->preamble_count, k)) > 0;
        if (whole && form.kind == STAMP_DATED && with_clock && dated < 0)
            dated = k;
        else if (whole && form.kind == STAMP_CLOCK && clock < 0)
            clock = k;
        else if (!with_clock && date < 0)
            date = k;
    }
    *ret_time = dated >= 0 ? dated : clock;
    *ret_date = dated < 0 && clock >= 0 ? date : -1;
    return *ret_time >= 0;
}

/* A text time: with a date in it, or beside a date, or alone. Where no header names one, cells that can be
 * nothing else do. */
static bool find_texts(const struct chooser *chooser, int *ret_date, int *ret_time)
{
    return find_texts_among(chooser, false, ret_date, ret_time) ||
           find_texts_among(chooser, true, ret_date, ret_time);
}

static enum status use_found(struct chooser *chooser, int date, int time, const char *why,
                             struct message *message)
{
    if (choice_of(chooser, COLUMN_TIME, 0) != time && choice_of(chooser, COLUMN_STEP_TIME, 0) != time)
        choice_take(chooser, time, COLUMN_TIME, 0, why);
    chooser->out->utc = chooser->headers[time].utc || (date >= 0 && chooser->headers[date].utc);
    if (date >= 0 && choice_of(chooser, COLUMN_DATE, 0) != date)
        choice_take(chooser, date, COLUMN_DATE, 0, "the date beside the time of day");
    return mostly_numbers(&chooser->looks[time]) ? use_number(chooser, time, message)
                                                 : use_text(chooser, date, time, message);
}

/* A dated clock beside the elapsed time tells when the run started. */
static void note_start(struct chooser *chooser)
{
    int date, time;
    struct stamp_form form;
    if (!find_texts(chooser, &date, &time) || !find_text_form(chooser, date, time, &form) ||
        form.kind != STAMP_DATED)
        return;
    struct stamp read;
    size_t first = chooser->layout->preamble_count;
    settle_order(chooser, &form, date, time);
    if (!stamp_read(&form, cell_at(chooser, first, date), cell_at(chooser, first, time), &read))
        return;
    chooser->out->utc = read.zone || chooser->headers[time].utc;
    if (read.order_free || form.order != DATE_ORDER_UNKNOWN)
        chooser->out->start_utc_s =
            read.s - chooser->looks[chooser->out->plan.time].first * chooser->out->plan.form.factor;
}

static enum status use_period(struct chooser *chooser, double period_s, struct message *message)
{
    long line = 0;
    double stated = period_s > 0 ? period_s : evidence_period(chooser->layout, &line);
    if (stated > 0) {
        chooser->out->plan.period_s = stated;
        chooser->out->plan.form.kind = STAMP_NUMBER;
        if (line > 0)
            notices_add(chooser->notices, "clock", line,
                        "No time column: rows are taken %g s apart, as line %ld says.", stated, line);
        return STATUS_OK;
    }
    status_fail(message, STATUS_AMBIGUOUS, "no time column is found");
    char row[300];
    evidence_first_row(chooser->layout, row, sizeof row);
    status_remedy(
        message,
        "name it with --column time=N, or give --period 1s when rows are evenly spaced; the first row is %s",
        row);
    return status_at(message, chooser->name, chooser->layout->data_line, 0);
}

enum status time_column_find(struct chooser *chooser, double period_s, struct message *message)
{
    int date = choice_of(chooser, COLUMN_DATE, 0), time = choice_of(chooser, COLUMN_TIME, 0);
    if (time >= 0)
        return use_found(chooser, date, time, "asked for", message);
    if (period_s > 0)
        return use_period(chooser, period_s, message);
    enum status status = find_elapsed(chooser, COLUMN_TIME, &time, message);
    if (status != STATUS_OK)
        return status;
    if (time >= 0) {
        status = use_found(chooser, -1, time, chooser->headers[time].why, message);
        if (status == STATUS_OK && !chooser->out->plan.form.absolute)
            note_start(chooser);
        return status;
    }
    if (find_texts(chooser, &date, &time))
        return use_found(chooser, date, time,
                         chooser->headers[time].role == COLUMN_UNUSED ? "its cells are times"
                                                                      : chooser->headers[time].why,
                         message);
    int step_time = choice_of(chooser, COLUMN_STEP_TIME, 0);
    if (step_time < 0) {
        status = find_elapsed(chooser, COLUMN_STEP_TIME, &step_time, message);
        if (status != STATUS_OK)
            return status;
        if (step_time >= 0)
            choice_take(chooser, step_time, COLUMN_STEP_TIME, 0, chooser->headers[step_time].why);
    }
    if (step_time < 0)
        return use_period(chooser, period_s, message);
    chooser->out->step_time = true;
    return use_found(chooser, -1, step_time, "", message);
}
