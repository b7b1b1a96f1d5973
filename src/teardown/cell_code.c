#include "teardown/cell_code.h"

#include <limits.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static bool is_letter(char c)
{
    return c >= 'A' && c <= 'Z';
}

__attribute__((format(printf, 2, 3))) static void fault(struct cell_code *code, const char *words, ...)
{
    if (code->fault_count == CELL_CODE_FAULTS)
        return;
    va_list list;
    va_start(list, words);
    vsnprintf(code->faults[code->fault_count++], sizeof code->faults[0], words, list);
    va_end(list);
}

/* 1 to 9, then the letters that cannot be taken for digits: A is 10, Y is 30. 0: no number. */
static int date_number(char c)
{
    static const char letters[] = "ABCDEFGHJKLMNPRSTVWXY";
    if (c >= '1' && c <= '9')
        return c - '0';
    const char *at = c != '\0' ? strchr(letters, c) : NULL;
    return at != NULL ? 10 + (int)(at - letters) : 0;
}

static int days_of_month(int year, int month)
{
    static const int days[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    bool leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
    return days[month - 1] + (month == 2 && leap);
}

static void read_date(struct cell_code *code, const char *at, int place)
{
    int year = date_number(at[0]), month = at[1] >= '1' && at[1] <= 'C' ? date_number(at[1]) : 0;
    int day = at[2] == '0' ? 31 : date_number(at[2]);
    if (year == 0)
        fault(code, "place %d, the year, is '%c', which stands for none", place, at[0]);
    if (month == 0 || month > 12)
        fault(code, "place %d, the month, is '%c', and not 1 to 9 or A to C", place + 1, at[1]);
    if (day == 0)
        fault(code, "place %d, the day, is '%c', which stands for none", place + 2, at[2]);
    if (year == 0 || month == 0 || month > 12 || day == 0)
        return;
    if (day > days_of_month(2010 + year, month)) {
        fault(code, "month %d of %d has no day %d", month, 2010 + year, day);
        return;
    }
    code->year = 2010 + year;
    code->month = month;
    code->day = day;
}

static void read_serial(struct cell_code *code, const char *at, int place)
{
    long serial = 0;
    for (int k = 0; k < 7; k++) {
        if (!is_digit(at[k])) {
            fault(code, "place %d, of the serial number, is '%c' and no digit", place + k, at[k]);
            return;
        }
        serial = 10 * serial + (at[k] - '0');
    }
    if (serial == 0)
        fault(code, "the serial number is 0, and they begin with 1");
    else
        code->serial = serial;
}

static void read_design(struct cell_code *code, const char *at)
{
    memcpy(code->maker, at, 3);
    memcpy(code->specification, at + 5, 2);
    if (strchr("PMC", at[3]) != NULL)
        code->kind = at[3];
    else
        fault(code, "place 4 is '%c', and not P, M or C for pack, module or cell", at[3]);
    if ((at[4] >= 'A' && at[4] <= 'G') || at[4] == 'Z')
        code->chemistry = at[4];
    else
        fault(code, "place 5, the chemistry, is '%c', which stands for none", at[4]);
}

/* Without what people and readers put between; false when something else than letters and digits is left. */
static bool squeeze(struct span typed, struct cell_code *code, size_t *ret_count)
{
    size_t n = 0;
    for (size_t k = 0; k < typed.n; k++) {
        char c = typed.p[k];
        if (c == ' ' || c == '-' || c == '\t' || c == '\r' || c == '\n')
            continue;
        c = c >= 'a' && c <= 'z' ? (char)(c - 'a' + 'A') : c;
        if (!is_digit(c) && !is_letter(c)) {
            fault(code, "character %zu is neither a letter nor a digit", k + 1);
            return false;
        }
        if (n < CELL_CODE)
            code->code[n] = c;
        n++;
    }
    *ret_count = n;
    return true;
}

struct cell_code cell_code_read(struct span typed)
{
    struct cell_code code = {.serial = -1};
    size_t count = 0;
    if (!squeeze(typed, &code, &count))
        return code;
    code.reused = count == 19 && code.code[17] == 'R';
    if (count != CELL_CODE && !code.reused) {
        fault(&code, "%zu characters, and not 24 (or 19 that end in R and P, M or C): an unknown layout", count);
        return code;
    }
    read_design(&code, code.code);
    if (!code.reused)
        memcpy(code.trace, code.code + 7, 7);
    int date = code.reused ? 7 : 14;
    read_date(&code, code.code + date, date + 1);
    read_serial(&code, code.code + date + 3, date + 4);
    if (code.reused && strchr("PMC", code.code[18]) == NULL)
        fault(&code, "the last place is '%c', and not P, M or C", code.code[18]);
    code.whole = code.fault_count == 0;
    return code;
}

const char *cell_code_kind(char kind)
{
    return kind == 'P' ? "pack" : kind == 'M' ? "module" : kind == 'C' ? "cell" : "unknown";
}

const char *cell_code_chemistry(char chemistry)
{
    switch (chemistry) {
    case 'A': return "nickel–metal hydride";
    case 'B': return "lithium iron phosphate";
    case 'C': return "lithium manganese oxide";
    case 'D': return "lithium cobalt oxide";
    case 'E': return "ternary (nickel, manganese or aluminium, cobalt)";
    case 'F': return "supercapacitor";
    case 'G': return "lithium titanate";
    case 'Z': return "another chemistry";
    default: return "unknown";
    }
}

/* Days since 1 March of year 0 (proleptic Gregorian): leap days come last in such years. */
static long day_number(int year, int month, int day)
{
    int y = month > 2 ? year : year - 1, m = (month + 9) % 12;
    return 365L * y + y / 4 - y / 100 + y / 400 + (153 * m + 2) / 5 + day - 1;
}

int cell_code_age_days(const struct cell_code *code, int year, int month, int day)
{
    if (code->year == 0)
        return INT_MIN;
    return (int)(day_number(year, month, day) - day_number(code->year, code->month, code->day));
}

/* Whether an earlier whole code has the same characters there. */
static bool seen_before(const struct cell_code *codes, size_t k, size_t from, size_t count)
{
    for (size_t j = 0; j < k; j++)
        if (codes[j].whole && strncmp(codes[j].code + from, codes[k].code + from, count) == 0)
            return true;
    return false;
}

struct cell_batch cell_code_batch(const struct cell_code *codes, size_t count)
{
    struct cell_batch batch = {0};
    long first = LONG_MAX, last = LONG_MIN;
    for (size_t k = 0; k < count; k++) {
        if (!codes[k].whole)
            continue;
        batch.read++;
        batch.makers += !seen_before(codes, k, 0, 3);
        batch.chemistries += !seen_before(codes, k, 4, 1);
        batch.specifications += !seen_before(codes, k, 5, 2);
        batch.repeated += seen_before(codes, k, 0, CELL_CODE);
        long day = day_number(codes[k].year, codes[k].month, codes[k].day);
        first = day < first ? day : first;
        last = day > last ? day : last;
    }
    batch.days_apart = batch.read > 0 ? (int)(last - first) : 0;
    return batch;
}
