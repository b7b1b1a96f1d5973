/* Scale: from values to places on a figure, and the ticks that name the places.
 *
 * Ticks stand at multiples of 1, 2 or 5 times a power of ten; those of a time scale at multiples of
 * the seconds, minutes and hours people read. A tick is kept as a whole number of steps, so its label
 * is exact and the same in every locale; minus is U+2212. The unit is printed once, at the last tick. */
#ifndef RUNDOWN_DRAW_SCALE_H
#define RUNDOWN_DRAW_SCALE_H

#include <stdbool.h>
#include <stddef.h>

/* Linear, either way round: `from` lies at `start`, `to` at `end`. */
struct scale {
    double from, to;   /* values */
    double start, end; /* user units */
};

double scale_at(const struct scale *scale, double value); /* NaN gives NaN */
double scale_value(const struct scale *scale, double at);

struct ticks {
    long first; /* of the first tick, in steps */
    size_t count;
    int mantissa; /* step = mantissa * 10^exponent */
    int exponent;
    bool time;    /* values are seconds, labels h:mm or h:mm:ss */
    bool signed_; /* labels of positive values carry a plus; set it as you like */
};

/* The ticks within [from, to], at most `most` of them (2 or more) and as many as that allows. None
 * when an end is not finite or both are one value. */
struct ticks ticks_between(double from, double to, size_t most);
struct ticks ticks_of_time(double from_s, double to_s, size_t most);

double tick_value(const struct ticks *ticks, size_t k);

/* `unit` is added to the last label only, after a no-break space; NULL or "" for none. */
void tick_print(const struct ticks *ticks, size_t k, const char *unit, char *buffer, size_t size);

/* Widens [from, to] to whole steps of the ticks it would get; a single value gets room around it. */
void scale_round(double *from, double *to, size_t most);

#endif
