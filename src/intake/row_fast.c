#include "intake/row_fast.h"

static const double powers[] = {1,    1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,  1e8,  1e9,  1e10, 1e11,
                                1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22};
static const uint64_t largest_exact = (uint64_t)1 << 53;

/* What happens to a cell's number: out[row] = (number + shift) * factor. */
struct fast_cell {
    double *out; /* NULL: passed over */
    double shift, factor;
    bool is_time;
};

/* Eight digits at once, the first in the lowest byte, `count` of them from 1 to 8: pairs, fours, all.
 * The scheme is the well-known one of three multiplications, from memory. */
static inline uint64_t digits_at_once(uint64_t digits, unsigned count)
{
    digits <<= 64 - 8 * count; /* zeros in front */
    digits = digits * 10 + (digits >> 8);
    uint64_t low = (digits & 0x000000FF000000FFu) * (100 + (1000000ull << 32));
    uint64_t high = (digits >> 16 & 0x000000FF000000FFu) * (1 + (10000ull << 32));
    return (low + high) >> 32;
}

/* More than eight characters: digit by digit, as long as the mantissa stays exact. */
static bool take_long(const char **p, char decimal, uint64_t *ret_mantissa, unsigned *ret_decimals)
{
    const char *q = *p;
    uint64_t mantissa = 0;
    unsigned decimals = 0, digits = 0;
    bool point = false;
    for (;; q++) {
        if (*q >= '0' && *q <= '9') {
            mantissa = mantissa * 10 + (uint64_t)(*q - '0');
            decimals += point;
            if (mantissa > largest_exact || ++digits > 40)
                return false;
        } else if (*q == decimal && !point) {
            point = true;
        } else {
            break;
        }
    }
    if (digits == 0 || decimals > 22)
        return false;
    *p = q;
    *ret_mantissa = mantissa;
    *ret_decimals = decimals;
    return true;
}

static inline bool take_decimal(const char **p, char decimal, double *ret_value)
{
    const char *q = *p;
    bool minus = *q == '-';
    q += minus;
    uint64_t word, mantissa;
    unsigned decimals = 0;
    memcpy(&word, q, sizeof word);
    uint64_t digits = word ^ 0x3030303030303030u; /* a digit's byte is now 0 to 9 */
    uint64_t stops = ((digits + 0x7676767676767676u) | digits) & 0x8080808080808080u;
    unsigned first = stops != 0 ? (unsigned)__builtin_ctzll(stops) / 8 : 8;
    if (first < 8 && q[first] != decimal) {
        if (first == 0)
            return false;
        mantissa = digits_at_once(digits, first);
        q += first;
    } else if (first < 8 && (stops & (stops - 1)) != 0) {
        unsigned second = (unsigned)__builtin_ctzll(stops & (stops - 1)) / 8;
        if (second == 1)
            return false;
        uint64_t whole = digits & (((uint64_t)1 << 8 * first) - 1);
        uint64_t part = digits >> 8 * (first + 1) << 8 * first;
        mantissa = digits_at_once(whole | part, second - 1);
        decimals = second - 1 - first;
        q += second;
    } else if (!take_long(&q, decimal, &mantissa, &decimals)) {
        return false;
    }
    double value = (double)mantissa / powers[decimals];
    *ret_value = minus ? -value : value;
    *p = q;
    return true;
}

bool row_is_fast(const struct row_plan *plan)
{
    if (__BYTE_ORDER__ != __ORDER_LITTLE_ENDIAN__ || plan->form.kind != STAMP_NUMBER)
        return false;
    for (size_t k = 0; k < plan->task_count; k++) {
        enum column_role role = plan->tasks[k].role;
        if (role != COLUMN_UNUSED && role != COLUMN_CHANNEL && (int)k != plan->time)
            return false;
    }
    return true;
}

static void prepare(const struct row_plan *plan, struct row_sink *sink, struct fast_cell *cells)
{
    for (size_t k = 0; k < plan->task_count; k++) {
        const struct cell_task *task = &plan->tasks[k];
        cells[k] = (struct fast_cell){.is_time = (int)k == plan->time};
        if (cells[k].is_time)
            cells[k] = (struct fast_cell){sink->t_s, -plan->zero, plan->form.factor, true};
        else if (task->role == COLUMN_CHANNEL)
            cells[k] = (struct fast_cell){sink->column[task->channel], task->unit.shift, task->unit.factor, false};
    }
}

/* Passes over cells to the end of the line: false when they hold quotes or are too many or too few. */
static bool pass_rest(const struct row_plan *plan, const char **p, const char *end)
{
    const struct log_layout *layout = plan->layout;
    size_t count = plan->task_count, filled = count;
    const char *q = *p;
    for (; q < end && *q != layout->newline; q++) {
        if (*q == '"')
            return false;
        if (*q == layout->delimiter)
            count++;
        else if (*q != '\r' && *q != ' ' && *q != '\t')
            filled = count;
    }
    if (q >= end || count < plan->least_cells || filled > plan->most_cells)
        return false;
    *p = q;
    return true;
}

/* One cell and its delimiter; at the last cell p stays on what follows it. */
static inline bool take_cell(const struct log_layout *layout, const struct fast_cell *cell, size_t row, bool last, const char **p,
                             size_t *missing)
{
    const char *q = *p;
    if (*q == ' ' && layout->delimiter != ' ')
        q++;
    if (cell->out == NULL) {
        while (*q != layout->delimiter && *q != layout->newline && *q != '"' && *q != '\0')
            q++;
    } else if (*q == layout->delimiter || *q == layout->newline || *q == '\r') {
        if (cell->is_time || layout->delimiter == ' ')
            return false;
        cell->out[row] = NAN;
        ++*missing;
    } else {
        double value;
        if (!take_decimal(&q, layout->decimal, &value))
            return false;
        cell->out[row] = (value + cell->shift) * cell->factor;
    }
    if (*q == layout->delimiter && !last) {
        *p = q + 1;
        return true;
    }
    *p = q;
    return last && (*q == layout->newline || *q == layout->delimiter || (*q == '\r' && q[1] == '\n'));
}

static inline bool take_line(const struct row_plan *plan, const struct fast_cell *cells, const char **p, const char *end,
                             struct row_sink *sink)
{
    const struct log_layout *layout = plan->layout;
    const char *q = *p;
    size_t missing = 0;
    for (size_t k = 0; k < plan->task_count; k++)
        if (!take_cell(layout, &cells[k], sink->rows, k + 1 == plan->task_count, &q, &missing))
            return false;
    q += *q == '\r';
    if (*q != layout->newline || plan->task_count < plan->least_cells)
        if (!pass_rest(plan, &q, end))
            return false;
    if (missing > 0 && plan->time < 0) /* may be a row of nothing at all */
        return false;
    sink->missing += missing;
    *p = q + 1;
    return true;
}

const char *row_fast(const struct row_plan *plan, const char *p, const char *end, struct row_sink *sink)
{
    struct fast_cell cells[LAYOUT_COLUMNS];
    prepare(plan, sink, cells);
    double last = sink->last_t;
    bool unordered = sink->unordered;
    while (p < end && take_line(plan, cells, &p, end, sink)) {
        double t = plan->period_s > 0 ? (double)sink->slots : sink->t_s[sink->rows];
        sink->t_s[sink->rows] = t;
        unordered |= t < last;
        last = t;
        sink->rows++;
        sink->slots++;
        sink->lines++;
    }
    sink->last_t = last;
    sink->unordered = unordered;
    return p;
}
