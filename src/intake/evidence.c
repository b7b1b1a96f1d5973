#include "intake/evidence.h"

#include "base/memory.h"
#include "base/number.h"
#include "intake/cells.h"
#include "intake/header_words.h"
#include "intake/headers.h"
#include "intake/stamp.h"

/* Cuts `time, Current, Voltage, Power, Battery Temp, and Chamber Temp` into names. */
static size_t list_names(struct span text, char (*names)[96], size_t room)
{
    size_t count = 0;
    for (size_t k = 0, start = 0; k <= text.n; k++) {
        if (k < text.n && text.p[k] != ',' && text.p[k] != ';' && text.p[k] != '|')
            continue;
        struct span name = span_trim((struct span){text.p + start, k - start});
        if (name.n > 4 && span_is_word((struct span){name.p, 4}, "and "))
            name = span_trim((struct span){name.p + 4, name.n - 4});
        if (count < room)
            cell_copy(name, names[count], sizeof names[count]);
        count++;
        start = k + 1;
    }
    return count;
}

/* Two different quantities at least must be among the names. */
static bool names_columns(char (*names)[96], size_t count)
{
    size_t known = 0;
    bool voltage = false, current = false;
    for (size_t k = 0; k < count; k++) {
        struct header header = header_read(names[k], "");
        known += header.role != COLUMN_UNUSED;
        voltage |= header.role == COLUMN_CHANNEL && header.channel == CHANNEL_VOLTAGE;
        current |= header.role == COLUMN_CHANNEL && header.channel == CHANNEL_CURRENT;
    }
    return voltage && current && known >= 3;
}

long evidence_list(const struct log_layout *layout, char (*ret_names)[96])
{
    char(*names)[96] = memory_get(LAYOUT_COLUMNS * sizeof *names);
    long found = 0;
    for (size_t k = 0; k < layout->preamble_count && found == 0; k++) {
        struct span line = layout->lines[k].text;
        for (size_t start = line.n; start-- > 0 && found == 0;) { /* the shortest list that is long enough */
            bool begins = start == 0 || line.p[start - 1] == ':' || line.p[start - 1] == '\t' ||
                          line.p[start - 1] == '=';
            struct span rest = {line.p + start, line.n - start};
            if (!begins || list_names(rest, names, LAYOUT_COLUMNS) != layout->columns)
                continue;
            if (names_columns(names, layout->columns))
                found = layout->lines[k].number;
        }
    }
    if (found > 0)
        memcpy(ret_names, names, layout->columns * sizeof *names);
    free(names);
    return found;
}

/* `1Hz`, `10 Hz`, `0.5 s`: a number with a unit of time or rate. */
static double period_in(struct span text, char decimal)
{
    text = span_trim(text);
    double number;
    size_t used = number_read(text, decimal, &number, NULL);
    if (used == 0 || !(number > 0))
        return 0;
    struct span rest = span_trim((struct span){text.p + used, text.n - used});
    struct unit unit;
    if (span_is_word(rest, "Hz") || span_is_word(rest, "S/s"))
        return 1 / number;
    if (span_is_word(rest, "kHz"))
        return 1e-3 / number;
    return unit_find(rest, &unit) && unit.quantity == QUANTITY_TIME ? unit_own(number, &unit) : 0;
}

double evidence_period(const struct log_layout *layout, long *ret_line)
{
    for (size_t k = 0; k < layout->preamble_count; k++) {
        struct span line = layout->lines[k].text;
        size_t start = 0;
        for (size_t j = 0; j < line.n; j++) {
            if (strchr(",;:=|\t", line.p[j]) == NULL)
                continue;
            unsigned senses = header_senses((struct span){line.p + start, j - start}, NULL);
            struct span value = {line.p + j + 1, 0};
            while (value.p + value.n < line.p + line.n && strchr(",;|\t\r", value.p[value.n]) == NULL)
                value.n++;
            double period = senses & SENSE_INTERVAL ? period_in(value, layout->decimal) : 0;
            if (period > 0) {
                *ret_line = layout->lines[k].number;
                return period;
            }
            start = j + 1;
        }
    }
    return 0;
}

static void look_at(struct span cell, char decimal, bool same_words, struct column_look *look)
{
    double value;
    struct unit unit;
    int direction, decimals = 0;
    switch (cell_read(cell, decimal, &value, &unit)) {
    case CELL_MISSING: look->missing++; return;
    case CELL_NUMBER:
        (void)number_read(cell, decimal, &value, &decimals);
        look->decimals = decimals > look->decimals ? decimals : look->decimals;
        look->first = look->numbers++ == 0 ? value : look->first;
        look->last = value;
        return;
    case CELL_WORDS: break;
    }
    if (!same_words)
        look->is_mode = header_mode(cell, &direction);
    look->modes += look->is_mode;
    if (log_cell_kind(cell, decimal) == 't')
        look->times++;
    else
        look->words++;
}

void evidence_look(const struct log_layout *layout, size_t columns, struct column_look *ret_looks)
{
    struct span cells[LAYOUT_COLUMNS], before[LAYOUT_COLUMNS] = {{NULL, 0}};
    for (size_t c = 0; c < columns; c++)
        ret_looks[c] = (struct column_look){.first = NAN, .last = NAN};
    for (size_t k = layout->preamble_count; k < layout->line_count; k++) {
        size_t count = log_layout_cells(layout, &layout->lines[k], cells);
        for (size_t c = 0; c < columns; c++) {
            struct span cell = c < count ? cells[c] : (struct span){"", 0};
            bool same = before[c].n > 0 && before[c].n == cell.n && memcmp(before[c].p, cell.p, cell.n) == 0;
            ret_looks[c].changes += !same;
            look_at(cell, layout->decimal, same, &ret_looks[c]);
            before[c] = cell;
        }
    }
}

bool evidence_same(const struct log_layout *layout, size_t a, size_t b)
{
    struct span cells[LAYOUT_COLUMNS];
    for (size_t k = layout->preamble_count; k < layout->line_count; k++) {
        size_t count = log_layout_cells(layout, &layout->lines[k], cells);
        if (a >= count || b >= count)
            continue;
        if (cells[a].n != cells[b].n || memcmp(cells[a].p, cells[b].p, cells[a].n) != 0)
            return false;
    }
    return true;
}

/* The numbers of the stretch, row by row; NaN where a cell is none. */
static double *numbers_of(const struct log_layout *layout, size_t *ret_rows)
{
    struct span cells[LAYOUT_COLUMNS];
    size_t rows = layout->line_count - layout->preamble_count, columns = layout->columns;
    double *numbers = memory_get((rows * columns + 1) * sizeof *numbers);
    for (size_t k = 0; k < rows; k++) {
        size_t count = log_layout_cells(layout, &layout->lines[layout->preamble_count + k], cells);
        for (size_t c = 0; c < columns; c++) {
            struct unit unit;
            double *out = &numbers[k * columns + c];
            if (c >= count || cell_read(cells[c], layout->decimal, out, &unit) != CELL_NUMBER)
                *out = NAN;
        }
    }
    *ret_rows = rows;
    return numbers;
}

static bool never_falls(const double *x, size_t rows, size_t stride)
{
    size_t rises = 0;
    for (size_t k = 1; k < rows; k++) {
        double step = x[k * stride] - x[(k - 1) * stride];
        if (!(step >= 0))
            return false;
        rises += step > 0;
    }
    return rows > 1 && 2 * rises > rows;
}

/* power = a·b in every row that has all three, to 1 % of the largest power; a is zero or changes sign, b
 * is always positive. */
static bool is_product(const double *x, size_t rows, size_t stride, size_t a, size_t b, size_t c)
{
    double largest = 0, smallest_b = INFINITY, smallest_a = INFINITY, largest_a = 0;
    size_t used = 0;
    for (size_t k = 0; k < rows; k++)
        largest = fabs(x[k * stride + c]) > largest ? fabs(x[k * stride + c]) : largest;
    for (size_t k = 0; k < rows; k++) {
        const double *row = x + k * stride;
        if (isnan(row[a] * row[b] * row[c]))
            continue;
        if (!(fabs(row[a] * row[b] - row[c]) <= 0.01 * largest))
            return false;
        smallest_b = fmin(smallest_b, row[b]);
        smallest_a = fmin(smallest_a, row[a]);
        largest_a = fmax(largest_a, fabs(row[a]));
        used++;
    }
    return used >= 10 && largest > 0 && smallest_b > 0 && smallest_a <= 0.01 * largest_a;
}

struct proposal evidence_propose(const struct log_layout *layout)
{
    struct proposal proposal = {-1, -1, -1, -1};
    size_t rows, columns = layout->columns < 24 ? layout->columns : 24;
    double *x = numbers_of(layout, &rows);
    for (size_t c = 0; c < columns && proposal.time < 0; c++)
        if (never_falls(x + c, rows, layout->columns))
            proposal.time = (int)c;
    for (size_t c = 0; c < columns && proposal.power < 0; c++)
        for (size_t a = 0; a < columns && proposal.power < 0; a++)
            for (size_t b = 0; b < columns && proposal.power < 0; b++)
                if (a != b && b != c && a != c && is_product(x, rows, layout->columns, a, b, c))
                    proposal = (struct proposal){proposal.time, (int)b, (int)a, (int)c};
    free(x);
    return proposal;
}

void evidence_first_row(const struct log_layout *layout, char *buffer, size_t size)
{
    struct span cells[LAYOUT_COLUMNS];
    size_t count = log_layout_cells(layout, &layout->lines[layout->preamble_count], cells);
    struct text text = TEXT_EMPTY;
    for (size_t k = 0; k < count && k < layout->columns; k++) {
        char cell[24];
        cell_copy(cells[k], cell, sizeof cell);
        text_addf(&text, "%s%zu: %s", k > 0 ? " | " : "", k + 1, cell);
    }
    span_copy((struct span){text_string(&text), text.length}, buffer, size);
    text_free(&text);
}

int evidence_sign(const struct log_layout *layout)
{
    for (size_t k = 0; k < layout->preamble_count; k++) {
        int sign = (int)k == layout->header ? 0 : header_sign(layout->lines[k].text);
        if (sign != 0)
            return sign;
    }
    return 0;
}

bool evidence_invented(const struct log_layout *layout)
{
    for (size_t k = 0; k < layout->preamble_count; k++)
        if ((int)k != layout->header && span_has_word(layout->lines[k].text, "invented"))
            return true;
    return false;
}
