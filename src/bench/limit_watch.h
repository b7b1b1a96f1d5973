/* Limit watch: says once when a limit is passed, and not again for noise about it.
 *
 * A limit is passed when two readings in a row are beyond it, or one that stands for more than five seconds. It is
 * armed again when the reading has come back by a margin (a fiftieth of a limit of volts or amps, 1.5 °C,
 * 0.5 °C in a minute) and a while has gone by: a minute, then twice as long each time. */
#ifndef RUNDOWN_BENCH_LIMIT_WATCH_H
#define RUNDOWN_BENCH_LIMIT_WATCH_H

#include "bench/calls.h"
#include "bench/limits.h"

enum { RISE_MINUTES = 4 };

struct limit_watch {
    struct limits limits;
    const char *remedy; /* static: "take the load off" */
    struct limit_state {
        bool passed;
        double seen_s;   /* of the last reading of this value; NaN before */
        size_t beyond;   /* readings in a row */
        double quiet_to_s, quiet_for_s;
    } of[LIMITS];
    struct {             /* temperature by the half minute, for its rise */
        double from_s, sum_degc;
        size_t readings;
    } half_minutes[2 * RISE_MINUTES];
    size_t half_minute;  /* that is being filled; counted on without end */
};

struct limited {
    double t_s, v, cell_low_v, cell_high_v, a, degc; /* NaN not heard; a: magnitude */
    bool discharging;
};

void limit_watch_init(struct limit_watch *watch, const struct limits *limits, const char *remedy);
/* Appends to ret_calls, which holds `count` of `room`; returns their number. */
size_t limit_watch_reading(struct limit_watch *watch, const struct limited *now, struct call *ret_calls, size_t count,
                           size_t room);

#endif
