#include "intake/digits.h"

#include "base/memory.h"
#include "base/number.h"
#include "intake/cells.h"

const double digits_sure = 1e14;

static double power_of_ten(int n)
{
    static const double powers[] = {1,    1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,  1e8,  1e9,  1e10, 1e11,
                                    1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22};
    return n >= 0 && n <= 22 ? powers[n] : pow(10, n);
}

/* As llround, without a call where x is near a whole number and a half can be added without a loss. */
static inline int64_t nearest(double x)
{
    return fabs(x) < 1e15 ? (int64_t)(x + (x < 0 ? -0.5 : 0.5)) : llround(x);
}

struct decimal digits_decimal(uint8_t byte, double own, const struct unit *unit)
{
    if (byte == DIGITS_MISSING || byte == DIGITS_OVERLOAD || byte == DIGITS_ODD) {
        uint8_t kind = byte == DIGITS_MISSING    ? DECIMAL_MISSING
                       : byte == DIGITS_OVERLOAD ? DECIMAL_OVERLOAD
                                                 : DECIMAL_ODD;
        return (struct decimal){.kind = kind};
    }
    int decimals = (byte & ~DIGITS_MINUS) - DIGITS_ZERO;
    double number = own / unit->factor - unit->shift;
    double scaled = decimals >= 0 ? number * power_of_ten(decimals) : number / power_of_ten(-decimals);
    if (!(fabs(scaled) < 1e18))
        return (struct decimal){.kind = DECIMAL_ODD};
    struct decimal decimal = {
        .mantissa = nearest(scaled), .decimals = (int8_t)decimals, .kind = DECIMAL_NUMBER};
    if (decimal.mantissa == 0 && (byte & DIGITS_MINUS) != 0)
        decimal.kind = DECIMAL_NEGATIVE_ZERO;
    return decimal;
}

static bool same_bits(double a, double b)
{
    return a == b && signbit(a) == signbit(b);
}

/* The byte stands only if the very decimal and the very double come back. */
static uint8_t checked(struct decimal want, bool minus, double own, const struct unit *unit)
{
    int byte = want.decimals + DIGITS_ZERO;
    if (want.kind == DECIMAL_ODD || byte < DIGITS_LEAST || byte >= DIGITS_MINUS)
        return DIGITS_ODD;
    byte |= minus ? DIGITS_MINUS : 0;
    struct decimal got = digits_decimal((uint8_t)byte, own, unit);
    bool same = got.kind == want.kind && got.mantissa == want.mantissa &&
                same_bits(unit_own(decimal_value(want), unit), own);
    return same ? (uint8_t)byte : DIGITS_ODD;
}

uint8_t digits_of_number(uint64_t mantissa, unsigned decimals, bool minus, double own,
                         const struct unit *unit)
{
    struct decimal want = {.mantissa = minus ? -(int64_t)mantissa : (int64_t)mantissa,
                           .decimals = (int8_t)decimals,
                           .kind = minus && mantissa == 0 ? DECIMAL_NEGATIVE_ZERO : DECIMAL_NUMBER};
    return checked(want, minus, own, unit);
}

/* Of the words for no number, those that say it was too large to show. */
static bool is_overload(struct span cell, char decimal)
{
    static const char *const starts[] = {"ol", "o.l", ".ol", "0l", "0.l", "ov", "of", "over", "inf"};
    while (cell.n > 0 && (cell.p[0] == '+' || cell.p[0] == '-'))
        cell = (struct span){cell.p + 1, cell.n - 1};
    double number;
    if (number_read(cell, decimal, &number, NULL) >
        0) /* one beyond sense; 9.91E37 is SCPI-99's not-a-number */
        return fabs(number / 9.91e37 - 1) > 1e-6;
    for (size_t k = 0; k < sizeof starts / sizeof *starts; k++) {
        size_t n = strlen(starts[k]);
        if (cell.n >= n && span_is_word((struct span){cell.p, n}, starts[k]))
            return true;
    }
    return span_is_word(cell, "1.#inf");
}

/* All printed with the same decimals, at most 15, in the own unit: how many; -1 when not. */
static int alike(const uint8_t *bytes, const double *own, size_t count, const struct unit *unit)
{
    int decimals = count > 0 ? (bytes[0] & ~DIGITS_MINUS) - DIGITS_ZERO : -1;
    if (decimals < 0 || decimals > 15 || unit->factor != 1 || unit->shift != 0)
        return -1;
    double most = 1e15 / power_of_ten(decimals);
    bool same = true;
    for (size_t k = 0; k < count; k++)
        same &= ((bytes[k] ^ bytes[0]) & ~DIGITS_MINUS) == 0 && fabs(own[k]) < most;
    return same ? decimals : -1;
}

void digits_decimals(const uint8_t *bytes, const double *own, size_t count, const struct unit *unit,
                     struct decimal *ret_decimals)
{
    int decimals = alike(bytes, own, count, unit);
    double ten = power_of_ten(decimals >= 0 ? decimals : 0);
    for (size_t k = 0; k < count && decimals >= 0; k++) {
        int64_t mantissa = (int64_t)(own[k] * ten + (own[k] < 0 ? -0.5 : 0.5));
        bool negative_zero = mantissa == 0 && (bytes[k] & DIGITS_MINUS) != 0;
        ret_decimals[k] = (struct decimal){.mantissa = mantissa,
                                           .decimals = (int8_t)decimals,
                                           .kind = negative_zero ? DECIMAL_NEGATIVE_ZERO : DECIMAL_NUMBER};
    }
    for (size_t k = 0; k < count && decimals < 0; k++)
        ret_decimals[k] = digits_decimal(bytes[k], own[k], unit);
}

uint8_t digits_of(struct span cell, char decimal, double own, const struct unit *unit)
{
    static const char minus_sign[] = "\xE2\x88\x92"; /* U+2212 */
    if (isnan(own))
        return is_overload(cell, decimal) ? DIGITS_OVERLOAD : DIGITS_MISSING;
    bool typeset = cell.n > 3 && memcmp(cell.p, minus_sign, 3) == 0;
    struct span number = typeset ? (struct span){cell.p + 3, cell.n - 3} : cell;
    struct decimal want;
    if (decimal_read(number, decimal, &want) == 0)
        return DIGITS_ODD;
    if (typeset && want.kind == DECIMAL_NUMBER) {
        want.kind = want.mantissa == 0 ? DECIMAL_NEGATIVE_ZERO : DECIMAL_NUMBER;
        want.mantissa = -want.mantissa;
    }
    return checked(want, typeset || cell.p[0] == '-', own, unit);
}

void digits_set_aside(struct digits *digits, size_t row, enum channel channel, double own, char decimal)
{
    if (digits->column[channel] == NULL || digits->column[channel][row] == DIGITS_ODD)
        return;
    char text[DECIMAL_TEXT];
    decimal_print(digits_decimal(digits->column[channel][row], own, &digits->unit[channel]), text);
    char *point = strchr(text, '.');
    if (point != NULL)
        *point = decimal;
    digits->column[channel][row] = DIGITS_ODD;
    digits->odd = memory_grow(digits->odd, digits->odd_count, &digits->odd_capacity);
    digits->odd[digits->odd_count++] = (struct odd_cell){row, (int)channel, memory_copy_string(text)};
}

bool digits_keep_times(struct digits *digits, const struct series *series)
{
    if (digits->time == NULL)
        return true;
    digits->printed = memory_try(digits->capacity, sizeof *digits->printed);
    for (size_t k = 0; digits->printed != NULL && k < series->count; k++)
        digits->printed[k] = digits_decimal(digits->time[k], series->t_s[k], &digits->time_unit);
    return digits->printed != NULL;
}

static int by_place(const void *a, const void *b)
{
    const struct odd_cell *x = a, *y = b;
    return x->row != y->row ? (x->row > y->row) - (x->row < y->row) : x->channel - y->channel;
}

void digits_sort_odd(struct digits *digits)
{
    if (digits->odd_count > 0)
        qsort(digits->odd, digits->odd_count, sizeof *digits->odd, by_place);
}

void digits_free(struct digits *digits)
{
    memory_try_free(digits->time, digits->capacity, 1);
    for (int c = 0; c < CHANNELS; c++)
        memory_try_free(digits->column[c], digits->capacity, 1);
    memory_try_free(digits->mode, digits->capacity, 1);
    memory_try_free(digits->printed, digits->capacity, sizeof *digits->printed);
    for (size_t k = 0; k < digits->odd_count; k++)
        free(digits->odd[k].text);
    free(digits->odd);
    *digits = (struct digits){0};
}
