/* Numbers as text: read and printed without the locale.
 *
 * number_read takes `123`, `-1.5e3`, `.5`; with decimal ',' it takes `1,5` too. Two dots are a range's
 * and end it: `0..45` reads as 0. No hexadecimal, no thousands marks, no infinities: those are for the
 * caller to judge. The result is the double nearest to the decimal text. */
#ifndef RUNDOWN_BASE_NUMBER_H
#define RUNDOWN_BASE_NUMBER_H

#include "base/text.h"

/* Reads a number from the start of the span; returns the characters used, 0 if there is no number.
 * `ret_decimals`, if not NULL, gets the digits after the decimal sign as typed less the exponent
 * (so the last digit is worth 10^-decimals). */
size_t number_read(struct span span, char decimal, double *ret_value, int *ret_decimals);

/* Whole span, trimmed, is one number. */
bool number_is(struct span span, char decimal, double *ret_value);

/* Value with as many decimals as `u` deserves: two significant digits of u (GUM 7.2.6). Prints
 * `61.14` for 61.1389 with u 0.45; without a finite u, five significant digits. Minus is U+2212. */
void number_print(double value, double u, char *buffer, size_t size);

/* Decimals that number_print would use. */
int number_decimals(double u);

/* `h:mm:ss`: minutes and seconds alone would be read as hours; tenths of a second below a minute. */
void number_print_duration(double seconds, char *buffer, size_t size);

/* ISO 8601 of seconds since 1970, to the second: `2026-11-25T14:05:09`. Add the Z where they are UTC; "" when not
 * known. */
enum { NUMBER_INSTANT = 24 };
void number_print_instant(double utc_s, char buffer[static NUMBER_INSTANT]);

#endif
