#include "base/decimal.h"

#include "base/number.h"
#include "base/wide.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

/* The significant digits of a number that number_read has accepted. */
static struct decimal gather(struct span number, char decimal)
{
    struct decimal ret = {.kind = DECIMAL_NUMBER};
    size_t at = number.p[0] == '-' || number.p[0] == '+';
    bool negative = number.p[0] == '-';
    int digits = 0;
    for (; at < number.n; at++) {
        char c = number.p[at];
        if (c == '.' || (c == decimal && decimal != 0))
            continue;
        if (!is_digit(c))
            break; /* the exponent, which number_read counts into the decimals */
        digits += digits > 0 || c != '0';
        if (digits > DECIMAL_DIGITS)
            return (struct decimal){.kind = DECIMAL_ODD};
        ret.mantissa = ret.mantissa * 10 + (c - '0');
    }
    if (negative && ret.mantissa == 0)
        ret.kind = DECIMAL_NEGATIVE_ZERO;
    if (negative)
        ret.mantissa = -ret.mantissa;
    return ret;
}

size_t decimal_read(struct span span, char decimal, struct decimal *ret_decimal)
{
    double value;
    int decimals;
    size_t used = number_read(span, decimal, &value, &decimals);
    if (used == 0)
        return 0;
    struct decimal read = gather((struct span){span.p, used}, decimal);
    if (decimals < INT8_MIN || decimals > INT8_MAX)
        read = (struct decimal){.kind = DECIMAL_ODD};
    if (read.kind != DECIMAL_ODD)
        read.decimals = (int8_t)decimals;
    *ret_decimal = read;
    return used;
}

/* Mantissas below 2^53 and powers of ten up to 10^22 are doubles: one rounding gives the double nearest to the text. */
enum { EXACT_BITS = 53, EXACT_TENS = 22, SMALL_BITS = 51 };
static const double tens[EXACT_TENS + 1] = {1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,  1e8,  1e9,  1e10, 1e11,
                                            1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22};

double decimal_value(struct decimal decimal)
{
    if (decimal.kind == DECIMAL_NEGATIVE_ZERO)
        return -0.0;
    if (decimal.kind != DECIMAL_NUMBER)
        return NAN;
    int d = decimal.decimals;
    int64_t m = decimal.mantissa;
    if (m <= (INT64_C(1) << EXACT_BITS) && m >= -(INT64_C(1) << EXACT_BITS) && d <= EXACT_TENS && d >= -EXACT_TENS)
        return d >= 0 ? (double)m / tens[d] : (double)m * tens[-d];
    char digits[DECIMAL_TEXT];
    double value = NAN;
    snprintf(digits, sizeof digits, "%llde%d", (long long)m, -d);
    number_is(span_of(digits), '.', &value);
    return value;
}

/* A decimal as two words, to compare at once; most of the second is padding. */
struct words {
    int64_t mantissa;
    uint64_t form;
};
_Static_assert(sizeof(struct words) == sizeof(struct decimal), "read as two words");

static struct words words_of(const struct decimal *decimal)
{
    struct words words;
    memcpy(&words, decimal, sizeof words);
    return words;
}

/* The bits of the second word that count. */
static uint64_t form_bits(void)
{
    struct decimal form;
    memset(&form, 0, sizeof form);
    form.decimals = -1;
    form.kind = UINT8_MAX;
    return words_of(&form).form;
}

WIDE bool decimal_mantissas(const struct decimal *decimals, size_t count, int64_t *ret_mantissas)
{
    if (count == 0 || decimals[0].kind != DECIMAL_NUMBER)
        return count == 0;
    uint64_t other = 0, form = words_of(decimals).form;
    for (size_t k = 0; k < count; k++) {
        struct words words = words_of(&decimals[k]);
        ret_mantissas[k] = words.mantissa;
        other |= words.form ^ form;
    }
    return (other & form_bits()) == 0;
}

/* A whole number below 2^51 added to the bits of 1.5 * 2^52 stands in its last bits: wide instructions have no other
 * way from 64-bit integers to doubles. */
static inline double small_double(int64_t number)
{
    const double anchor = 0x1.8p52;
    uint64_t bits;
    double value;
    memcpy(&bits, &anchor, sizeof bits);
    bits += (uint64_t)number;
    memcpy(&value, &bits, sizeof value);
    return value - anchor;
}

/* The doubles of small mantissas, divided and multiplied; one of the two is by 1. */
WIDE static void scale_small(const int64_t *mantissas, size_t count, double over, double times, double *ret_values)
{
    if (over > 1)
        for (size_t k = 0; k < count; k++)
            ret_values[k] = small_double(mantissas[k]) / over;
    else
        for (size_t k = 0; k < count; k++)
            ret_values[k] = small_double(mantissas[k]) * times;
}

WIDE static bool are_small(const int64_t *mantissas, size_t count)
{
    uint64_t magnitude = 0;
    for (size_t k = 0; k < count; k++)
        magnitude |= (uint64_t)mantissas[k] ^ (0 - ((uint64_t)mantissas[k] >> 63));
    return magnitude >> SMALL_BITS == 0;
}

void decimal_scale(const int64_t *mantissas, size_t count, int decimals, double *ret_values)
{
    if (decimals >= -EXACT_TENS && decimals <= EXACT_TENS && are_small(mantissas, count)) {
        double ten = tens[abs(decimals)];
        scale_small(mantissas, count, decimals > 0 ? ten : 1, decimals > 0 ? 1 : ten, ret_values);
        return;
    }
    for (size_t k = 0; k < count; k++)
        ret_values[k] = decimal_value((struct decimal){mantissas[k], (int8_t)decimals, DECIMAL_NUMBER});
}

void decimal_values(const struct decimal *decimals, size_t count, double *ret_values)
{
    enum { PART = 256 };
    int64_t mantissa[PART];
    for (size_t done = 0; done < count; done += PART) {
        const struct decimal *part = decimals + done;
        size_t n = count - done < PART ? count - done : PART;
        if (decimal_mantissas(part, n, mantissa)) {
            decimal_scale(mantissa, n, part[0].decimals, ret_values + done);
        } else {
            for (size_t k = 0; k < n; k++)
                ret_values[done + k] = decimal_value(part[k]);
        }
    }
}

void decimal_print(struct decimal decimal, char buffer[static DECIMAL_TEXT])
{
    buffer[0] = '\0';
    if (decimal.kind == DECIMAL_OVERLOAD)
        memcpy(buffer, "OL", sizeof "OL");
    if (decimal.kind != DECIMAL_NUMBER && decimal.kind != DECIMAL_NEGATIVE_ZERO)
        return;
    bool negative = decimal.kind == DECIMAL_NEGATIVE_ZERO || decimal.mantissa < 0;
    unsigned long long magnitude =
        decimal.mantissa < 0 ? 0ULL - (unsigned long long)decimal.mantissa : (unsigned long long)decimal.mantissa;
    const char *sign = negative ? "-" : "";
    int d = decimal.decimals;
    if (d < 0 || d > DECIMAL_DIGITS + 2) {
        snprintf(buffer, DECIMAL_TEXT, "%s%lluE%d", sign, magnitude, -d);
    } else if (d == 0) {
        snprintf(buffer, DECIMAL_TEXT, "%s%llu", sign, magnitude);
    } else {
        char digits[DECIMAL_TEXT];
        int n = snprintf(digits, sizeof digits, "%0*llu", d + 1, magnitude);
        snprintf(buffer, DECIMAL_TEXT, "%s%.*s.%s", sign, n - d, digits, digits + n - d);
    }
}

struct decimal decimal_of(double value, int decimals)
{
    if (isnan(value))
        return (struct decimal){.kind = DECIMAL_MISSING};
    double scaled = round(value * pow(10, decimals));
    if (!(fabs(scaled) < 1e18) || decimals < INT8_MIN || decimals > INT8_MAX)
        return (struct decimal){.kind = DECIMAL_OVERLOAD};
    return (struct decimal){.mantissa = (int64_t)scaled, .decimals = (int8_t)decimals, .kind = DECIMAL_NUMBER};
}
