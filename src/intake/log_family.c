#include "intake/log_family.h"

#include "base/memory.h"
#include "intake/cells.h"
#include "intake/stamp.h"

/* What the cells of a line are; equal ones are kept once. */
struct signature {
    char kinds[LAYOUT_COLUMNS];
    size_t count, cells; /* without and with empty cells at the end */
    bool has_number;
    size_t lines, first; /* how many lines have it; the first of them */
};

char log_cell_kind(struct span cell, char decimal)
{
    double value;
    struct unit unit;
    struct stamp_form form;
    switch (cell_read(cell, decimal, &value, &unit)) {
    case CELL_MISSING: return 'e';
    case CELL_NUMBER: return 'n';
    case CELL_WORDS: break;
    }
    bool digit = false;
    for (size_t k = 0; k < cell.n && !digit; k++)
        digit = cell.p[k] >= '0' && cell.p[k] <= '9';
    if (!digit)
        return 'w';
    int64_t day;
    bool order_free;
    bool date = stamp_date_read(cell, DATE_DAY_FIRST, &day, &order_free) ||
                stamp_date_read(cell, DATE_MONTH_FIRST, &day, &order_free);
    return date || stamp_form_find((struct span){NULL, 0}, cell, &form) ? 't' : 'w';
}

static void signature_of(struct span line, char delimiter, char decimal, struct signature *ret_signature)
{
    struct span cells[LAYOUT_COLUMNS];
    struct signature *signature = ret_signature;
    size_t count = cells_split(line, delimiter, cells, LAYOUT_COLUMNS);
    signature->cells = count < LAYOUT_COLUMNS ? count : LAYOUT_COLUMNS;
    signature->has_number = false;
    signature->count = 0;
    for (size_t k = 0; k < signature->cells; k++) {
        signature->kinds[k] = log_cell_kind(cells[k], decimal);
        signature->has_number |= signature->kinds[k] == 'n';
        signature->count = signature->kinds[k] != 'e' ? k + 1 : signature->count;
    }
}

/* The different signatures of all lines. Returns how many there are. */
static size_t sign_lines(const struct log_line *lines, size_t count, char delimiter, char decimal,
                         struct signature *signatures)
{
    size_t different = 0;
    for (size_t line = 0; line < count; line++) {
        struct signature *one = &signatures[different];
        signature_of(lines[line].text, delimiter, decimal, one);
        size_t k = 0;
        while (k < different && (signatures[k].cells != one->cells ||
                                 memcmp(signatures[k].kinds, one->kinds, one->cells) != 0))
            k++;
        if (k == different) {
            one->lines = 0;
            one->first = line;
            different++;
        }
        signatures[k].lines++;
    }
    return different;
}

static bool alike(const struct signature *a, const struct signature *b)
{
    size_t less = a->count < b->count ? a->count : b->count, more = a->count + b->count - less;
    if (!a->has_number || !b->has_number || less * 2 < more)
        return false;
    for (size_t k = 0; k < less; k++)
        if (a->kinds[k] != b->kinds[k] && a->kinds[k] != 'e' && b->kinds[k] != 'e')
            return false;
    return true;
}

/* The largest count that several of a family's rows have: one row may have a delimiter too many. */
static size_t usual_count(const size_t *rows, size_t all)
{
    size_t most = 0, usual = 0;
    for (size_t count = 1; count <= LAYOUT_COLUMNS; count++) {
        most = rows[count] > 0 ? count : most;
        usual = rows[count] >= 2 && 50 * rows[count] >= all ? count : usual;
    }
    return usual > 0 ? usual : most;
}

static double readable(const struct signature *signature)
{
    double cells = 0;
    for (size_t k = 0; k < signature->count; k++)
        cells += signature->kinds[k] == 'w' ? -1 : signature->kinds[k] == 'e' ? 0 : 1;
    return cells * (double)signature->lines;
}

static struct log_family family_of(const struct signature *signatures, size_t count,
                                   const struct signature *one)
{
    size_t filled[LAYOUT_COLUMNS + 1] = {0}, cells[LAYOUT_COLUMNS + 1] = {0};
    struct log_family family = {.first = SIZE_MAX};
    for (size_t k = 0; k < count; k++) {
        const struct signature *other = &signatures[k];
        if (!alike(one, other))
            continue;
        family.size += other->lines;
        family.first = other->first < family.first ? other->first : family.first;
        family.score += readable(other);
        filled[other->count] += other->lines;
        cells[other->cells] += other->lines;
    }
    family.columns = usual_count(filled, family.size);
    family.cells = usual_count(cells, family.size);
    return family;
}

static bool holds(const struct log_line *lines, size_t count, char wanted)
{
    for (size_t k = 0; k < count; k++)
        if (memchr(lines[k].text.p, wanted, lines[k].text.n) != NULL)
            return true;
    return false;
}

/* Can the lines be cut and read this way at all? A decimal comma between commas needs quotes. */
static bool worth_a_try(const struct log_line *lines, size_t count, char delimiter, char decimal)
{
    if (!holds(lines, count, delimiter) && !(delimiter == ' ' && holds(lines, count, '\t')))
        return false;
    return decimal == '.' || (holds(lines, count, ',') && (delimiter != ',' || holds(lines, count, '"')));
}

/* Blanks stand inside times and words as well, so they count as the delimiter only when no other does. */
struct log_family log_family_find(const struct log_line *lines, size_t count)
{
    static const struct {
        char delimiter, decimal;
    } tries[] = {
        {'\t', '.'}, {'\t', ','}, {';', '.'}, {';', ','}, {'|', '.'},
        {'|', ','},  {',', '.'},  {',', ','}, {' ', '.'}, {' ', ','},
    };
    struct signature *signatures = memory_get((count + 1) * sizeof *signatures);
    struct log_family best = {0};
    for (size_t k = 0; k < sizeof tries / sizeof *tries; k++) {
        if (tries[k].delimiter == ' ' && best.score > 0)
            break;
        if (!worth_a_try(lines, count, tries[k].delimiter, tries[k].decimal))
            continue;
        size_t different = sign_lines(lines, count, tries[k].delimiter, tries[k].decimal, signatures);
        struct log_family largest = {0};
        for (size_t j = 0; j < different; j++) {
            struct log_family family = family_of(signatures, different, &signatures[j]);
            if (family.size > largest.size || (family.size == largest.size && family.score > largest.score))
                largest = family;
            if (2 * family.size > count)
                break; /* no other can be larger */
        }
        largest.delimiter = tries[k].delimiter;
        largest.decimal = tries[k].decimal;
        if (largest.columns >= 2 && largest.score > best.score)
            best = largest;
    }
    free(signatures);
    return best;
}
