/* Decimal: a number as an instrument printed it, digit by digit, or the reason why there is none.
 *
 * `12.90` is 1290 with 2 decimals and stays distinct from `12.9`. An exponent is folded in: `+1.2900E+01`
 * is 12900 with 3 decimals. What cannot be held so (more than 18 digits) is not a decimal: the reader
 * says so and whoever keeps readings keeps the text itself beside a DECIMAL_ODD. */
#ifndef RUNDOWN_BASE_DECIMAL_H
#define RUNDOWN_BASE_DECIMAL_H

#include "base/text.h"

#include <stdint.h>

enum decimal_kind {
    DECIMAL_MISSING,       /* nothing was there */
    DECIMAL_NUMBER,
    DECIMAL_NEGATIVE_ZERO, /* `-0.00`: mantissa 0 with a sign */
    DECIMAL_OVERLOAD,      /* the instrument said that it is out of its range */
    DECIMAL_ODD,           /* a number that no decimal holds; its text is kept elsewhere */
};

enum { DECIMAL_DIGITS = 18, DECIMAL_TEXT = 48 };

struct decimal {
    int64_t mantissa;
    int8_t decimals; /* the last digit is worth 10^-decimals; negative for `12E3` */
    uint8_t kind;    /* enum decimal_kind */
};

/* Reads a number from the start of the span, as base/number.h does; returns the characters used, 0 when
 * there is none. `nan`, `---`, `OL`, `+9.9E37` and the like are the caller's to judge. More than
 * DECIMAL_DIGITS significant digits give DECIMAL_ODD with mantissa 0. */
size_t decimal_read(struct span span, char decimal, struct decimal *ret_decimal);

/* The double nearest to it; NaN unless it is a number. */
double decimal_value(struct decimal decimal);

/* The same of many; fast where all are numbers with as many decimals. */
void decimal_values(const struct decimal *decimals, size_t count, double *ret_values);

/* The mantissas, and true, where all are numbers with as many decimals as the first. */
bool decimal_mantissas(const struct decimal *decimals, size_t count, int64_t *ret_mantissas);

/* Each mantissa over 10^decimals, as decimal_value gives it. */
void decimal_scale(const int64_t *mantissas, size_t count, int decimals, double *ret_values);

/* The digits again, with a point and without an exponent where decimals >= 0 (`12.90`), else `12E3`.
 * Missing prints nothing, overload `OL`. DECIMAL_ODD prints nothing: print the text kept for it. */
void decimal_print(struct decimal decimal, char buffer[static DECIMAL_TEXT]);

/* A decimal of that value with so many decimals, rounded to the nearest; missing for NaN, overload for
 * what does not fit. */
struct decimal decimal_of(double value, int decimals);

#endif
