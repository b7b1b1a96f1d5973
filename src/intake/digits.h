/* Digits: how each number of a log was printed, one byte a cell beside its double.
 *
 * A double alone does not tell `12.9` from `12.90`. The byte says how many decimals there were, so that the
 * decimal can be had again: the double is brought back to the column's unit and rounded there. That is exact
 * where the digits stay well within a double's; a cell where they do not, or that has a unit of its own, is
 * odd, and its text is kept. What stood for no number is told from what stood for too large a one. */
#ifndef RUNDOWN_INTAKE_DIGITS_H
#define RUNDOWN_INTAKE_DIGITS_H

#include "base/decimal.h"
#include "quantity/series.h"

#include <stdint.h>

/* A byte: one of the first three, or the decimals counted from DIGITS_ZERO, with DIGITS_MINUS for a minus that
 * stood in front (it counts only before zeros, which have no other sign). */
enum { DIGITS_MISSING, DIGITS_OVERLOAD, DIGITS_ODD, DIGITS_LEAST, DIGITS_ZERO = 40, DIGITS_MINUS = 0x80 };

/* Below this a decimal's digits survive the way to the own unit and back: eight roundings of 2^-53 each, on twice
 * as much, stay under half a step. */
extern const double digits_sure;

/* The decimal of a byte that is none of the first three but for missing and overload. `unit` brings numbers as
 * printed to the own unit, in which `own` stands. */
struct decimal digits_decimal(uint8_t byte, double own, const struct unit *unit);

/* Many at once, and fast where all were printed alike in the own unit. */
void digits_decimals(const uint8_t *bytes, const double *own, size_t count, const struct unit *unit,
                     struct decimal *ret_decimals);

/* The byte for a cell that was read as `own`; DIGITS_ODD when its decimal cannot be had again from it. */
uint8_t digits_of(struct span cell, char decimal, double own, const struct unit *unit);
/* The same for digits already taken: mantissa without its sign. */
uint8_t digits_of_number(uint64_t mantissa, unsigned decimals, bool minus, double own, const struct unit *unit);

/* An odd cell's text, by row and then channel; the channel is CHANNELS for the time. */
struct odd_cell {
    size_t row;
    int channel;
    char *text; /* owned */
};

/* What a log keeps of its digits; all NULL unless asked for. */
struct digits {
    size_t capacity;             /* of the arrays */
    uint8_t *time;               /* NULL where the time was no number */
    uint8_t *column[CHANNELS];
    int8_t *mode;                /* +1 discharge, -1 charge, 0 rest, 2 no known word; NULL without such a column */
    struct decimal *printed;     /* times as printed, where the series' times were put in order since */
    struct odd_cell *odd;
    size_t odd_count, odd_capacity;
    struct unit time_unit, unit[CHANNELS]; /* time: of a clock's seconds too, or of the rows' count */
    bool turned[CHANNELS][2];    /* the mode turned the sign of what was printed: while discharging, charging */
};

/* Before the number at a row is taken out of its series: it becomes an odd cell. Nothing without digits. */
void digits_set_aside(struct digits *digits, size_t row, enum channel channel, double own, char decimal);
void digits_sort_odd(struct digits *digits);
/* Before the times are put in order: keeps them as printed. False when memory does not hold them. */
bool digits_keep_times(struct digits *digits, const struct series *series);
void digits_free(struct digits *digits);

#endif
