#include "intake/row_fast.h"

#include <assert.h>

static const double powers[] = {1,    1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,  1e8,  1e9,  1e10, 1e11,
                                1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22};
static const uint64_t whole_powers[] = {1, 10, 100, 1000, 10000, 100000, 1000000, 10000000, 100000000};
static const uint64_t largest_exact = (uint64_t)1 << 53;

/* A column's numbers mostly have one shape from row to row (`-dd.ddd,`), its terminator included. Eight
 * bytes of text xor `signs` leave a digit's value where the shape has a digit and 0 where it has a sign;
 * adding `carry` sets the top bit of every byte that does not. A leading minus so becomes a leading 0. */
struct word_shape {
    uint64_t signs, carry, tops;
    unsigned shift; /* pushes out what stands behind the digits */
};

/* One word holds the whole shape, or one each side of the decimal sign. An open shape fits nothing. */
struct shape {
    struct word_shape word, second;
    uint64_t before, behind; /* the bytes before the decimal sign, and those behind it once moved up to it */
    bool two;
    uint64_t scale;          /* 10^digits of the second word */
    double divisor;          /* 10^decimals, negative behind a minus */
    unsigned offset, length; /* of the second word; of all */
    uint8_t byte;            /* see intake/digits.h */
    uint32_t seen;           /* what the last number that did not fit looked like */
};

static const struct shape open_shape = {.word = {.tops = 0x80, .carry = 0x80}};

/* What happens to a cell's number: out[row] = (number + shift) * factor. */
struct fast_cell {
    double *out; /* NULL: passed over, or words */
    uint8_t *digits;
    double shift, factor;
    bool is_time;
    const struct stamp_form *stamp; /* of a time in words */
    const struct last_words *words; /* that must repeat */
    struct shape shape;
};

/* The log's signs, at hand for the inner loop. */
struct signs {
    char delimiter, newline, decimal;
};

/* A number's digits without its signs, and where it ends; `end` is NULL when it is not plain. */
struct decimal_text {
    const char *end;
    uint64_t mantissa;
    unsigned decimals;
};

static const struct decimal_text not_plain = {NULL, 0, 0};

static inline bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

/* Eight bytes, each a digit's value where a digit stands. */
static inline uint64_t load_digits(const char *p)
{
    uint64_t word;
    memcpy(&word, p, sizeof word);
    return word ^ 0x3030303030303030u;
}

/* Marks the bytes that are no digits by their top bit. Right up to the first such byte and, as '.' and ','
 * carry nothing into the next, up to the second when the first is a decimal sign. */
static inline uint64_t no_digits(uint64_t digits)
{
    return ((digits + 0x7676767676767676u) | digits) & 0x8080808080808080u;
}

static inline unsigned byte_of(uint64_t stops)
{
    return stops != 0 ? (unsigned)__builtin_ctzll(stops) / 8 : 8;
}

/* Eight digits at once, the first in the lowest byte, moved up by `shift` bits: pairs, fours, all.
 * The scheme is the well-known one of three multiplications, from memory. */
static inline uint64_t digits_at_once(uint64_t digits, unsigned shift)
{
    digits <<= shift; /* zeros in front */
    digits = digits * 10 + (digits >> 8);
    uint64_t low = (digits & 0x000000FF000000FFu) * (100 + (1000000ull << 32));
    uint64_t high = (digits >> 16 & 0x000000FF000000FFu) * (1 + (10000ull << 32));
    return (low + high) >> 32;
}

/* Any length: digit by digit, as long as the mantissa stays exact. */
static struct decimal_text take_long(const char *q, char decimal)
{
    uint64_t mantissa = 0;
    unsigned decimals = 0, digits = 0;
    bool point = false;
    for (;; q++) {
        if (is_digit(*q)) {
            mantissa = mantissa * 10 + (uint64_t)(*q - '0');
            decimals += point;
            if (mantissa > largest_exact || ++digits > 40)
                return not_plain;
        } else if (*q == decimal && !point) {
            point = true;
        } else {
            break;
        }
    }
    return digits > 0 && decimals <= 22 ? (struct decimal_text){q, mantissa, decimals} : not_plain;
}

/* At most eight digits on either side of the decimal sign, which stands at `first`. */
static inline struct decimal_text take_middle(const char *q, char decimal, uint64_t whole, unsigned first)
{
    if (first == 0 || q[first] != decimal)
        return not_plain;
    uint64_t part = load_digits(q + first + 1);
    unsigned count = byte_of(no_digits(part));
    if (count == 0 || (count == 8 && is_digit(q[first + 9])))
        return not_plain;
    uint64_t mantissa =
        digits_at_once(whole, 64 - 8 * first) * whole_powers[count] + digits_at_once(part, 64 - 8 * count);
    return mantissa <= largest_exact ? (struct decimal_text){q + first + 1 + count, mantissa, count}
                                     : not_plain;
}

static inline struct decimal_text take_digits(const char *q, char decimal)
{
    uint64_t digits = load_digits(q), stops = no_digits(digits);
    unsigned first = byte_of(stops), second = byte_of(stops & (stops - 1));
    if (first < 8 && q[first] != decimal)
        return first > 0 ? (struct decimal_text){q + first, digits_at_once(digits, 64 - 8 * first), 0}
                         : not_plain;
    if (second < 8) {
        if (second == 1)
            return not_plain;
        uint64_t whole = digits & (((uint64_t)1 << 8 * first) - 1);
        uint64_t part = digits >> 8 * (first + 1) << 8 * first;
        return (struct decimal_text){q + second, digits_at_once(whole | part, 64 - 8 * (second - 1)),
                                     second - 1 - first};
    }
    struct decimal_text middle = take_middle(q, decimal, digits, first);
    return middle.end != NULL ? middle : take_long(q, decimal);
}

static struct word_shape word_shape(const char *q, unsigned count, unsigned digits)
{
    struct word_shape word = {.shift = 64 - 8 * digits};
    for (unsigned k = 0; k < count; k++) {
        bool digit = is_digit(q[k]);
        word.signs |= (uint64_t)(digit ? '0' : (unsigned char)q[k]) << 8 * k;
        word.carry |= (uint64_t)(digit ? 0x76 : 0x7F) << 8 * k;
        word.tops |= (uint64_t)0x80 << 8 * k;
    }
    return word;
}

/* Takes on the shape of the cell at q, whose number was read, once it has come twice running. */
static void learn(struct shape *shape, const char *q, bool minus, const struct decimal_text *text)
{
    bool carriage = *text->end == '\r';
    unsigned length = (unsigned)(text->end - q), part = text->decimals, ending = 1 + carriage;
    unsigned whole = length - (part > 0 ? part + 1 : 0); /* a blank and a minus in front count as digits, 0 */
    uint32_t seen = 1 | (uint32_t)minus << 1 | (uint32_t)carriage << 2 | part << 8 | whole << 16;
    bool again = seen == shape->seen, point = !is_digit(text->end[-1]);
    *shape = open_shape;
    shape->seen = seen;
    shape->length = length + ending;
    shape->byte = (uint8_t)((DIGITS_ZERO + part) | (minus ? DIGITS_MINUS : 0));
    shape->divisor = minus ? -powers[part] : powers[part];
    if (!again || point)
        return;
    if (length + ending <= 8) {
        shape->word = word_shape(q, length + ending, whole + part);
        shape->before = part > 0 ? ((uint64_t)1 << 8 * whole) - 1 : UINT64_MAX;
        shape->behind = ~shape->before;
    } else if (whole > 0 && whole < 8 && part > 0 && part + ending <= 8) {
        shape->word = word_shape(q, whole + 1, whole);
        shape->second = word_shape(q + whole + 1, part + ending, part);
        shape->before = UINT64_MAX;
        shape->scale = whole_powers[part];
        shape->offset = whole + 1;
        shape->two = true;
    }
}

static inline bool fits(uint64_t digits, const struct word_shape *word)
{
    return (((digits + word->carry) | digits) & word->tops) == 0;
}

static inline uint64_t load_shaped(const char *p, const struct word_shape *word)
{
    uint64_t text;
    memcpy(&text, p, sizeof text);
    return text ^ word->signs;
}

/* The cell at q when it has its column's shape; returns what stands behind its terminator, else NULL. */
static inline __attribute__((always_inline)) const char *take_shaped(const char *q,
                                                                     const struct fast_cell *cell, size_t row,
                                                                     bool keep)
{
    const struct shape *shape = &cell->shape;
    uint64_t digits = load_shaped(q, &shape->word);
    if (!fits(digits, &shape->word) || cell->out == NULL)
        return NULL;
    digits = (digits & shape->before) | (digits >> 8 & shape->behind);
    uint64_t mantissa = digits_at_once(digits, shape->word.shift);
    if (shape->two) {
        uint64_t part = load_shaped(q + shape->offset, &shape->second);
        if (!fits(part, &shape->second))
            return NULL;
        mantissa = mantissa * shape->scale + digits_at_once(part, shape->second.shift);
    }
    cell->out[row] = ((double)(int64_t)mantissa / shape->divisor + cell->shift) * cell->factor;
    if (keep)
        cell->digits[row] = shape->byte;
    return q + shape->length;
}

bool row_is_fast(const struct row_plan *plan)
{
    if (__BYTE_ORDER__ != __ORDER_LITTLE_ENDIAN__ || plan->date >= 0)
        return false;
    for (size_t k = 0; k < plan->task_count; k++) {
        enum column_role role = plan->tasks[k].role;
        bool words = row_words_of(role) >= 0;
        if (role != COLUMN_UNUSED && role != COLUMN_CHANNEL && !words && (int)k != plan->time)
            return false;
    }
    return true;
}

static void prepare(const struct row_plan *plan, struct row_sink *sink, struct fast_cell *cells)
{
    for (size_t k = 0; k < plan->task_count; k++) {
        const struct cell_task *task = &plan->tasks[k];
        int words = row_words_of(task->role);
        cells[k] = (struct fast_cell){.shape = open_shape, .words = words >= 0 ? &sink->last[words] : NULL};
        cells[k].is_time = (int)k == plan->time;
        cells[k].stamp = cells[k].is_time && plan->form.kind != STAMP_NUMBER ? &plan->form : NULL;
        if (cells[k].is_time)
            cells[k].out = sink->t_s, cells[k].shift = -plan->zero, cells[k].factor = plan->form.factor;
        else if (task->role == COLUMN_CHANNEL)
            cells[k].out = sink->column[task->channel], cells[k].shift = task->unit.shift,
            cells[k].factor = task->unit.factor;
        if (sink->keep_digits && cells[k].out != NULL)
            cells[k].digits = cells[k].is_time ? sink->time_digits : sink->digits[task->channel];
    }
}

/* A date or clock at q; returns its terminator. */
static const char *take_stamp(const char *q, struct signs signs, const struct fast_cell *cell, size_t row,
                              struct row_sink *sink)
{
    const char *start = q;
    struct stamp stamp;
    while (*q != signs.delimiter && *q != signs.newline && *q != '"' && *q != '\0')
        q++;
    if (!stamp_read(cell->stamp, (struct span){NULL, 0}, (struct span){start, (size_t)(q - start)}, &stamp))
        return NULL;
    sink->zone |= stamp.zone;
    sink->order_open |= !stamp.order_free;
    cell->out[row] = stamp.s + cell->shift;
    return q;
}

/* A number with so many decimals loses no digit to the column's shift. */
static bool shift_is_sure(const struct fast_cell *cell, unsigned decimals)
{
    return fabs(cell->shift) * powers[decimals] < digits_sure;
}

/* Are the digits had again from the double? Any cell that is not sure is tried. */
static bool keep_number(const struct fast_cell *cell, const struct decimal_text *text, bool minus, size_t row)
{
    uint8_t byte = (uint8_t)((DIGITS_ZERO + text->decimals) | (minus ? DIGITS_MINUS : 0));
    struct unit unit = {QUANTITY_NONE, cell->factor, cell->shift};
    if ((double)text->mantissa >= digits_sure || !shift_is_sure(cell, text->decimals))
        byte = digits_of_number(text->mantissa, text->decimals, minus, cell->out[row], &unit);
    cell->digits[row] = byte;
    return byte != DIGITS_ODD;
}

/* Any other cell at q: returns its terminator, or NULL when it is not plain. */
static const char *take_cell(const char *q, struct signs signs, bool last, struct fast_cell *cell, size_t row,
                             size_t *missing)
{
    const char *start = q;
    if (*q == ' ' && signs.delimiter != ' ')
        q++;
    if (cell->out == NULL) {
        while (*q != signs.delimiter && *q != signs.newline && *q != '"' && *q != '\0' && *q != '\r')
            q++;
        struct span text = {start, (size_t)(q - start)};
        return cell->words == NULL || row_words_repeat(cell->words, text) ? q : NULL;
    }
    if (*q == signs.delimiter || *q == signs.newline || *q == '\r') {
        if (cell->is_time || signs.delimiter == ' ')
            return NULL;
        cell->out[row] = NAN;
        if (cell->digits != NULL)
            cell->digits[row] = DIGITS_MISSING;
        ++*missing;
        return q;
    }
    bool minus = *q == '-';
    struct decimal_text text = take_digits(q + minus, signs.decimal);
    if (text.end == NULL)
        return NULL;
    double value = (double)text.mantissa / powers[text.decimals];
    cell->out[row] = ((minus ? -value : value) + cell->shift) * cell->factor;
    if (cell->digits != NULL) {
        if (!keep_number(cell, &text, minus, row))
            return NULL;
        if (!shift_is_sure(cell, text.decimals)) /* no shape: each one is tried */
            return text.end;
    }
    char after = *text.end;
    if (last ? after == signs.newline || (after == '\r' && text.end[1] == signs.newline)
             : after == signs.delimiter)
        learn(&cell->shape, start, minus, &text);
    return text.end;
}

/* Passes over cells to the end of the line; NULL when they hold quotes or are too many or too few. */
static const char *pass_rest(const struct row_plan *plan, const char *q, const char *end)
{
    const struct log_layout *layout = plan->layout;
    size_t count = plan->task_count, filled = count;
    for (; q < end && *q != layout->newline; q++) {
        if (*q == '"')
            return NULL;
        if (*q == layout->delimiter)
            count++;
        else if (*q != '\r' && *q != ' ' && *q != '\t')
            filled = count;
    }
    return q < end && count >= plan->least_cells && filled <= plan->most_cells ? q : NULL;
}

/* From behind the last cell that is used to behind the line end. */
static const char *take_end(const struct row_plan *plan, struct signs signs, const char *q, const char *end)
{
    q += *q == '\r' && q[1] == signs.newline;
    if (*q != signs.newline && *q != signs.delimiter)
        return NULL;
    q = *q == signs.newline && plan->task_count >= plan->least_cells ? q : pass_rest(plan, q, end);
    return q != NULL ? q + 1 : NULL;
}

/* One line; returns the next, NULL when this one is not plain. */
static inline __attribute__((always_inline)) const char *take_line(const struct row_plan *plan,
                                                                   struct signs signs,
                                                                   struct fast_cell *cells, const char *q,
                                                                   const char *end, struct row_sink *sink,
                                                                   bool keep)
{
    size_t missing = 0, row = sink->rows, last = plan->task_count - 1;
    for (size_t k = 0; k <= last; k++) {
        const char *next = take_shaped(q, &cells[k], row, keep);
        if (next == NULL) {
            next = cells[k].stamp != NULL ? take_stamp(q, signs, &cells[k], row, sink)
                                          : take_cell(q, signs, k == last, &cells[k], row, &missing);
            if (next != NULL && k == last)
                next = take_end(plan, signs, next, end);
            else if (next != NULL)
                next = *next == signs.delimiter ? next + 1 : NULL;
            if (next == NULL)
                return NULL;
        }
        q = next;
    }
    if (missing > 0) {
        if (plan->time < 0) /* may be a row of nothing at all */
            return NULL;
        sink->missing += missing;
    }
    return q;
}

/* Inlined twice, so that logs whose digits are not kept pay nothing for those that are. */
static inline __attribute__((always_inline)) const char *take_lines(const struct row_plan *plan,
                                                                    const char *p, const char *end,
                                                                    struct row_sink *sink, bool keep)
{
    struct fast_cell cells[LAYOUT_COLUMNS];
    assert(plan->task_count > 0 && plan->task_count <= LAYOUT_COLUMNS);
    prepare(plan, sink, cells);
    struct signs signs = {plan->layout->delimiter, plan->layout->newline, plan->layout->decimal};
    bool counted = plan->period_s > 0, unordered = sink->unordered;
    double last = sink->last_t, *t = sink->t_s;
    for (const char *next; p < end && sink->rows < sink->room; p = next) {
        next = take_line(plan, signs, cells, p, end, sink, keep);
        if (next == NULL)
            break;
        if (counted)
            t[sink->rows] = (double)sink->slots;
        if (sink->mode != NULL)
            sink->mode[sink->rows] = (int8_t)sink->last_mode;
        unordered |= t[sink->rows] < last;
        last = t[sink->rows];
        sink->rows++;
        sink->slots++;
        sink->lines++;
    }
    sink->last_t = last;
    sink->unordered = unordered;
    return p;
}

const char *row_fast(const struct row_plan *plan, const char *p, const char *end, struct row_sink *sink)
{
    return sink->keep_digits ? take_lines(plan, p, end, sink, true) : take_lines(plan, p, end, sink, false);
}
