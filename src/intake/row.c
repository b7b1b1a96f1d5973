#include "intake/row.h"

#include "base/memory.h"
#include "intake/cells.h"
#include "intake/header_words.h"
#include "intake/row_fast.h"

enum { QUOTED_BYTES = 8192 };

static void add_bad(struct row_sink *sink, int column, struct span text, const char *why)
{
    sink->slots++;
    if (sink->bad_count++ >= LOG_BAD_ROWS_LISTED)
        return;
    sink->bad = memory_grow(sink->bad, sink->bad_count - 1, &sink->bad_capacity);
    struct bad_row *bad = &sink->bad[sink->bad_count - 1];
    *bad = (struct bad_row){.line = sink->lines, .column = column, .why = why};
    cell_copy(text, bad->text, sizeof bad->text);
}

static void add_event(struct row_sink *sink, struct row_event event)
{
    sink->events = memory_grow(sink->events, sink->event_count, &sink->event_capacity);
    sink->events[sink->event_count++] = event;
}

/* FNV-1a: step indices are compared, never computed with. */
static uint64_t hash(struct span text)
{
    uint64_t h = 14695981039346656037u;
    for (size_t k = 0; k < text.n; k++)
        h = (h ^ (unsigned char)text.p[k]) * 1099511628211u;
    return h;
}

int row_words_of(enum column_role role)
{
    return role == COLUMN_MODE ? 0 : role == COLUMN_STEP ? 1 : role == COLUMN_MARK ? 2 : -1;
}

bool row_words_repeat(const struct last_words *last, struct span cell)
{
    return last->known && cell.n == last->length && memcmp(cell.p, last->text, cell.n) == 0;
}

/* A word that stays for many rows is one mark, where it first stands; a step is an event where it changes. */
static void note_words(struct row_sink *sink, enum column_role role, struct span cell)
{
    struct last_words *last = &sink->last[row_words_of(role)];
    struct row_event event = {.row = sink->rows, .line = sink->lines};
    if (row_words_repeat(last, cell))
        return;
    last->known = cell.n < sizeof last->text;
    last->length = last->known ? cell.n : 0;
    memcpy(last->text, cell.p, last->length);
    if (role == COLUMN_MODE && !header_mode(cell, &sink->last_mode))
        sink->last_mode = 2;
    if (role == COLUMN_STEP) {
        event.step = hash(cell);
        add_event(sink, event);
    }
    if (role == COLUMN_MARK && cell.n > 0) {
        char words[96];
        cell_copy(cell, words, sizeof words);
        event.words = memory_copy_string(words);
        add_event(sink, event);
    }
}

static bool read_time(const struct row_plan *plan, const struct span *cells, struct row_sink *sink,
                      double *ret_t)
{
    const struct stamp_form *form = &plan->form;
    struct span time = cells[plan->time];
    if (form->kind == STAMP_NUMBER) {
        double number;
        struct unit unit;
        if (cell_read(time, plan->layout->decimal, &number, &unit) != CELL_NUMBER)
            return false;
        if (unit.quantity != QUANTITY_NONE && unit.quantity != QUANTITY_TIME)
            return false;
        *ret_t =
            unit.quantity == QUANTITY_TIME ? unit_own(number, &unit) : (number - plan->zero) * form->factor;
        return true;
    }
    struct stamp read;
    struct span date = plan->date >= 0 ? cells[plan->date] : (struct span){NULL, 0};
    if (!stamp_read(form, date, time, &read))
        return false;
    sink->zone |= read.zone;
    sink->order_open |= !read.order_free;
    *ret_t = read.s - plan->zero;
    return true;
}

/* Reads a channel's cell; false when it is neither a number nor missing. */
static bool read_value(const struct row_plan *plan, const struct cell_task *task, struct span cell,
                       struct row_sink *sink, double *ret_value)
{
    double number;
    struct unit unit;
    switch (cell_read(cell, plan->layout->decimal, &number, &unit)) {
    case CELL_NUMBER:
        if (unit.quantity != QUANTITY_NONE && unit.quantity != channel_quantity(task->channel))
            return false;
        *ret_value = unit_own(number, unit.quantity != QUANTITY_NONE ? &unit : &task->unit);
        return true;
    case CELL_MISSING:
        *ret_value = NAN;
        sink->missing++;
        return true;
    case CELL_WORDS: break;
    }
    return false;
}

/* A line inside the log that names columns: the header once more, or another order of columns. */
static bool is_header_again(const struct row_plan *plan, const struct span *cells, size_t count,
                            struct row_sink *sink)
{
    size_t same = 0, other = 0;
    for (size_t k = 0; k < plan->task_count && k < count; k++) {
        char text[96];
        cell_copy(cells[k], text, sizeof text);
        struct header header = header_read(text, "");
        double number;
        struct unit unit;
        if (cell_read(cells[k], plan->layout->decimal, &number, &unit) == CELL_NUMBER)
            return false;
        if (plan->tasks[k].role == COLUMN_UNUSED || header.role == COLUMN_UNUSED)
            continue;
        bool equal = header.role == plan->tasks[k].role &&
                     (header.role != COLUMN_CHANNEL || header.channel == plan->tasks[k].channel);
        same += equal;
        other += !equal;
    }
    if (same + other < 2)
        return false;
    if (other > 0 && sink->moved_header == 0)
        sink->moved_header = sink->lines;
    return true;
}

static void leave_out(const struct row_plan *plan, struct span line, const struct span *cells, size_t count,
                      int column, const char *why, struct row_sink *sink)
{
    if (log_layout_is_comment(line))
        sink->comments++;
    else if (log_layout_repeats(plan->layout, line) || is_header_again(plan, cells, count, sink))
        sink->repeats++;
    else
        add_bad(sink, column, column > 0 ? cells[column - 1] : span_trim(line), why);
}

static uint8_t keep_cell(const struct row_plan *plan, struct span cell, double own, const struct unit *unit,
                         int channel, struct row_sink *sink)
{
    uint8_t byte = digits_of(cell, plan->layout->decimal, own, unit);
    if (byte == DIGITS_ODD) {
        char text[64];
        cell_copy(cell, text, sizeof text);
        sink->odd = memory_grow(sink->odd, sink->odd_count, &sink->odd_capacity);
        sink->odd[sink->odd_count++] = (struct odd_cell){sink->rows, channel, memory_copy_string(text)};
    }
    return byte;
}

struct unit row_time_unit(const struct row_plan *plan)
{
    if (plan->period_s > 0)
        return (struct unit){QUANTITY_TIME, plan->period_s, 0};
    return (struct unit){QUANTITY_TIME, plan->form.kind == STAMP_NUMBER ? plan->form.factor : 1, -plan->zero};
}

static void keep_digits(const struct row_plan *plan, const struct span *cells, double t, const double *values,
                        struct row_sink *sink)
{
    struct unit time_unit = row_time_unit(plan);
    if (sink->time_digits != NULL)
        sink->time_digits[sink->rows] = keep_cell(plan, cells[plan->time], t, &time_unit, CHANNELS, sink);
    for (size_t k = 0; k < plan->task_count; k++) {
        const struct cell_task *task = &plan->tasks[k];
        if (task->role == COLUMN_CHANNEL)
            sink->digits[task->channel][sink->rows] =
                keep_cell(plan, cells[k], values[task->channel], &task->unit, (int)task->channel, sink);
    }
}

static void keep(const struct row_plan *plan, double t, const double *values, struct row_sink *sink)
{
    if (plan->period_s > 0)
        t = (double)sink->slots;
    sink->unordered |= t < sink->last_t;
    sink->last_t = t;
    sink->t_s[sink->rows] = t;
    for (int c = 0; c < CHANNELS; c++)
        if (sink->column[c] != NULL)
            sink->column[c][sink->rows] = values[c];
    if (sink->mode != NULL)
        sink->mode[sink->rows] = (int8_t)sink->last_mode;
    sink->rows++;
    sink->slots++;
}

/* The slow way: the whole line as one span. */
static void read_line(const struct row_plan *plan, struct span line, struct row_sink *sink)
{
    struct span cells[LAYOUT_COLUMNS];
    size_t count = cells_split(line, plan->layout->delimiter, cells, LAYOUT_COLUMNS);
    size_t filled = count < LAYOUT_COLUMNS ? count : LAYOUT_COLUMNS, stored = filled;
    while (filled > 0 && cells[filled - 1].n == 0)
        filled--;
    if (count > 0 && filled == 0)
        return; /* blank */
    if (count == 0 || count < plan->least_cells || filled > plan->most_cells) {
        const char *why = count == 0                  ? "a quote is not closed"
                          : filled > plan->most_cells ? "more cells than columns"
                                                      : "the row is cut short";
        leave_out(plan, line, cells, stored, 0, why, sink);
        return;
    }
    for (size_t k = stored; k < plan->task_count; k++)
        cells[k] = (struct span){line.p, 0};
    if (sink->rows >= sink->room) {
        add_bad(sink, 0, span_trim(line), "the log changed while it was read");
        return;
    }
    double t = 0, values[CHANNELS], before = (double)sink->missing;
    for (int c = 0; c < CHANNELS; c++)
        values[c] = NAN;
    if (plan->time >= 0 && !read_time(plan, cells, sink, &t)) {
        leave_out(plan, line, cells, stored, plan->time + 1, "no time can be read", sink);
        return;
    }
    for (size_t k = 0; k < plan->task_count; k++) {
        const struct cell_task *task = &plan->tasks[k];
        if (task->role == COLUMN_CHANNEL && !read_value(plan, task, cells[k], sink, &values[task->channel])) {
            sink->missing = (size_t)before;
            leave_out(plan, line, cells, stored, (int)k + 1, "neither a number nor a mark for a missing one",
                      sink);
            return;
        }
    }
    for (size_t k = 0; k < plan->task_count; k++)
        if (row_words_of(plan->tasks[k].role) >= 0)
            note_words(sink, plan->tasks[k].role, cells[k]);
    if (sink->keep_digits)
        keep_digits(plan, cells, t, values, sink);
    keep(plan, t, values, sink);
}

/* A quoted cell may hold line ends (RFC 4180): the line's true end, or NULL when the quote never closes. */
static const char *end_of_quoted(const struct row_plan *plan, const char *p, const char *first_end,
                                 const char *more)
{
    const char *limit = more - p > QUOTED_BYTES ? p + QUOTED_BYTES : more;
    struct span cells[1];
    for (const char *end = first_end; end < limit; end++) {
        end = memchr(end + 1, plan->layout->newline, (size_t)(limit - end - 1));
        if (end == NULL)
            end = limit == more ? more : NULL;
        if (end == NULL)
            return NULL;
        if (cells_split((struct span){p, (size_t)(end - p)}, plan->layout->delimiter, cells, 1) > 0)
            return end;
    }
    return NULL;
}

const char *row_parse(const struct row_plan *plan, const char *p, const char *end, const char *more,
                      struct row_sink *sink)
{
    char newline = plan->layout->newline;
    bool fast = !plan->slow_only && row_is_fast(plan);
    while (p < end) {
        if (fast)
            p = row_fast(plan, p, end, sink);
        if (p >= end)
            break;
        const char *stop = memchr(p, newline, (size_t)(end - p));
        if (stop == NULL)
            stop = end;
        struct span cells[1];
        long lines = 1;
        if (memchr(p, '"', (size_t)(stop - p)) != NULL &&
            cells_split((struct span){p, (size_t)(stop - p)}, plan->layout->delimiter, cells, 1) == 0) {
            const char *far = end_of_quoted(plan, p, stop, more);
            for (const char *k = stop; far != NULL && k < far; k++)
                lines += *k == newline && k != stop;
            lines += far != NULL && far > stop;
            stop = far != NULL ? far : stop;
        }
        sink->lines++;
        read_line(plan, (struct span){p, (size_t)(stop - p)}, sink);
        sink->lines += lines - 1;
        p = stop < more ? stop + 1 : stop;
    }
    return p;
}

void row_too_long(struct row_sink *sink, struct span start)
{
    sink->lines++;
    add_bad(sink, 0, start, "the line is too long to be one row");
}

void row_sink_free(struct row_sink *sink)
{
    for (size_t k = 0; k < sink->event_count; k++)
        free(sink->events[k].words);
    for (size_t k = 0; k < sink->odd_count; k++)
        free(sink->odd[k].text);
    free(sink->events);
    free(sink->bad);
    free(sink->odd);
    sink->events = NULL;
    sink->bad = NULL;
    sink->odd = NULL;
    sink->event_count = sink->event_capacity = sink->bad_capacity = sink->odd_count = sink->odd_capacity = 0;
}
