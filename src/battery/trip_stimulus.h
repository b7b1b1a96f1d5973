/* Trip stimulus: what the words of a mark say was done to the sample before a trip.
 *
 * `cell sensor chilled with ice`, `hot air on the board sensor`, `sensor 2 heated`: whether something was heated or
 * chilled, and what. By words, not by phrases; `ice removed` and `sensor left alone` do nothing to it any more. */
#ifndef RUNDOWN_BATTERY_TRIP_STIMULUS_H
#define RUNDOWN_BATTERY_TRIP_STIMULUS_H

#include "battery/trip.h"

struct treatment {
    enum trip_way way; /* TRIP_COLD, TRIP_HOT, or TRIP_UNKNOWN: neither, or both */
    char place[48];    /* "cell sensor"; "" not told */
};
struct treatment treatment_of(const char *words);

/* Whether a mark tells what came of it (`board opened`, `meter dark`) rather than what was done. */
bool stimulus_is_outcome(const char *words);

/* One mark, or one line of readings by eye. */
struct told {
    double t_s, halfwidth_s;
    const char *words;
};
#define MARKED_WITHIN_S 0.5   /* of what a mark tells, put by hand while it happens (common practice, no source) */
#define HEARD_BEFORE_S 1800.0 /* a mark that long before is no stimulus of a trip any more (common practice, no source) */

/* The mark that a trip at `at_s` answers: the last in which something was heated or chilled, else the last of any kind
 * but outcomes; none before `not_before_s`. NULL: there is none. `told` runs in the order of time. */
const struct told *stimulus_find(const struct told *told, size_t count, double at_s, double not_before_s);

/* What was heated or chilled last by at_s, of the marks that name it; "" when none does. */
void stimulus_place(const struct told *told, size_t count, double at_s, char *ret_place, size_t size);

#endif
