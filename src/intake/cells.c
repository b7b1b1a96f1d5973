#include "intake/cells.h"

#include "base/number.h"

#include <ctype.h>

static const double beyond_sense = 1e30;

static bool is_blank(char c)
{
    return c == ' ' || c == '\t' || c == '\r';
}

/* The quoted text from p (just after the quote); moves p past the closing quote. */
static bool take_quoted(const char **p, const char *end, struct span *ret_text)
{
    const char *start = *p, *q = start;
    while (q < end) {
        if (*q == '"' && (q + 1 == end || q[1] != '"')) {
            *ret_text = (struct span){start, (size_t)(q - start)};
            *p = q + 1;
            return true;
        }
        q += *q == '"' ? 2 : 1;
    }
    return false;
}

size_t cells_split(struct span line, char delimiter, struct span *ret_cells, size_t room)
{
    bool blanks = delimiter == ' ';
    const char *p = line.p, *end = p + line.n;
    while (end > p && (end[-1] == '\r' || end[-1] == '\n'))
        end--;
    size_t count = 0;
    for (;;) {
        while (p < end && *p != delimiter && is_blank(*p))
            p++;
        while (blanks && p < end && is_blank(*p))
            p++;
        if (blanks && p == end)
            return count;
        struct span cell = {p, 0};
        if (p < end && *p == '"') {
            p++;
            if (!take_quoted(&p, end, &cell))
                return 0;
        }
        const char *start = p;
        while (p < end && (blanks ? !is_blank(*p) : *p != delimiter))
            p++;
        if (start == cell.p)
            cell.n = (size_t)(p - start);
        else if (span_trim((struct span){start, (size_t)(p - start)}).n > 0)
            return 0;
        if (count < room)
            ret_cells[count] = span_trim(cell);
        count++;
        if (p == end)
            return count;
        p++;
    }
}

bool cell_is_missing(struct span cell)
{
    static const char *const words[] = {
        "nan",        "-nan",      "+nan",    "n/a",      "na",       "#n/a",     "n.a.",      "null",
        "none",       "nil",       "inf",     "+inf",     "-inf",     "infinity", "-infinity", "+infinity",
        "ol",         "o.l",       "o.l.",    ".ol",      "0l",       "0.l",      "-ol",       "+ol",
        "ovld",       "+ovld",     "-ovld",   "overload", "overflow", "ovf",      "ofl",       "over",
        "over range", "overrange", "under",   "error",    "err",      "#value!",  "#div/0!",   "#num!",
        "#ref!",      "#name?",    "missing", "invalid",  "open",     "no data",  "no value",  "1.#qnan",
        "-1.#ind",    "1.#inf",    "-1.#inf", "?",        "*",        "–",        "—",
    };
    if (cell.n == 0)
        return true;
    if (isdigit((unsigned char)cell.p[cell.n - 1])) /* the usual cell, without a look at the table */
        return false;
    size_t dashes = 0;
    while (dashes < cell.n && (cell.p[dashes] == '-' || cell.p[dashes] == '.'))
        dashes++;
    if (dashes == cell.n)
        return true;
    if (strchr("nN#iIoO0.-+eEuUmM1?*\xE2", cell.p[0]) == NULL) /* nor one that starts like none of them */
        return false;
    for (size_t k = 0; k < sizeof words / sizeof *words; k++)
        if (span_is_word(cell, words[k]))
            return true;
    struct unit unit; /* `OL V` */
    return cell.n > 3 && span_is_word((struct span){cell.p, 3}, "OL ") &&
           unit_find((struct span){cell.p + 3, cell.n - 3}, &unit);
}

/* U+2212, the minus of typesetters, where a program has put one. */
static size_t read_number(struct span cell, char decimal, double *ret_value)
{
    static const char minus[] = "\xE2\x88\x92";
    size_t skipped = cell.n > 3 && memcmp(cell.p, minus, 3) == 0 ? 3 : 0;
    struct span digits = {cell.p + skipped, cell.n - skipped};
    if (skipped > 0 && !isdigit((unsigned char)digits.p[0]) && digits.p[0] != decimal)
        return 0;
    if (decimal == ',' && memchr(digits.p, '.', digits.n) != NULL)
        return 0;
    double value;
    size_t used = number_read(digits, decimal, &value, NULL);
    if (used == 0)
        return 0;
    *ret_value = skipped > 0 ? -value : value;
    return used + skipped;
}

enum cell_kind cell_read(struct span cell, char decimal, double *ret_value, struct unit *ret_unit)
{
    if (cell_is_missing(cell))
        return CELL_MISSING;
    double value;
    size_t used = read_number(cell, decimal, &value);
    if (used == 0)
        return CELL_WORDS;
    struct unit unit = {QUANTITY_NONE, 1, 0};
    if (used < cell.n) {
        struct span rest = span_trim((struct span){cell.p + used, cell.n - used});
        if (!unit_find(rest, &unit))
            return CELL_WORDS;
    }
    if (!(fabs(value) < beyond_sense))
        return CELL_MISSING;
    *ret_value = value;
    *ret_unit = unit;
    return CELL_NUMBER;
}

static bool is_utf8(struct span text)
{
    for (size_t k = 0; k < text.n;) {
        unsigned char c = (unsigned char)text.p[k++];
        int more = c < 0x80                ? 0
                   : c >= 0xC2 && c < 0xE0 ? 1
                   : c >= 0xE0 && c < 0xF0 ? 2
                   : c >= 0xF0 && c < 0xF5 ? 3
                                           : -1;
        if (more < 0)
            return false;
        for (; more > 0; more--, k++)
            if (k >= text.n || ((unsigned char)text.p[k] & 0xC0) != 0x80)
                return false;
    }
    return true;
}

void cell_copy(struct span cell, char *buffer, size_t size)
{
    struct text plain = TEXT_EMPTY;
    bool latin = !is_utf8(cell);
    for (size_t k = 0; k < cell.n; k++) {
        unsigned char c = (unsigned char)cell.p[k];
        if (latin && c >= 0x80) {
            char two[2] = {(char)(0xC0 | c >> 6), (char)(0x80 | (c & 0x3F))};
            text_add_bytes(&plain, two, 2);
        } else {
            char one = c < 0x20 || c == 0x7F ? ' ' : (char)c;
            text_add_bytes(&plain, &one, 1);
        }
        if (c == '"' && k + 1 < cell.n && cell.p[k + 1] == '"')
            k++;
    }
    span_copy(span_trim((struct span){text_string(&plain), plain.length}), buffer, size);
    text_free(&plain);
}
