/* Watched: what the searches for trips, holds, stops and warming look at, the columns of a log or of readings by eye alike.
 *
 * Columns are NULL when nothing of the kind was read, and hold NaN where it was not; t_s never decreases. Nothing is
 * owned. Marks run in the order of time. */
#ifndef RUNDOWN_BATTERY_WATCHED_H
#define RUNDOWN_BATTERY_WATCHED_H

#include "battery/findings.h"
#include "battery/trip_stimulus.h"

struct watched {
    const struct rig *rig;
    const struct asked *asked;
    const struct findings *findings;
    const double *t_s, *v, *a, *degc;
    size_t count;
    double digit_v, digit_a, digit_degc; /* as seen in the readings; 0 unknown */
    const double *half_a, *half_degc;    /* how far each may be off by the way it was read by eye; NULL of a log */
    const struct told *told;
    size_t told_count;
    bool by_eye, timed;                  /* timed: one clock, so that intervals are known */
};

/* How many rows are earlier. */
size_t watched_before(const struct watched *watched, double at_s);

/* Rows from from_s to to_s, both included; false without any. */
bool watched_rows(const struct watched *watched, double from_s, double to_s, size_t *ret_first, size_t *ret_count);

/* Half of the interval within which an edge of a phase lies, and the meter's averaging, by which a reading can have caught
 * it; NaN at the ends of the readings. */
double watched_edge_s(const struct watched *watched, double at_s);

/* The last that was read of a column by at_s, no further back than back_s; NaN. */
double watched_last(const struct watched *watched, const double *column, double at_s, double back_s);

/* The mean of the last few amps under the load of a run, as they stand in the readings; of a log without the very last,
 * which may have caught the stop. Closed; cannot tell when none were read. */
struct measure watched_end_a(const struct watched *watched, const struct run *run);

/* Adds what the meter itself may be off at a reading: gain and offset each one error for a whole test, and the digit;
 * `half` is what the way it was read by eye leaves open, 0 of a log. */
void watched_add_amps(const struct watched *watched, double a, double half, struct measure *ret_measure);
void watched_add_volts(const struct watched *watched, double v, double half, struct measure *ret_measure);
void watched_add_degc(const struct watched *watched, double degc, double half, struct measure *ret_measure);

/* from_s to to_s, with what the readings leave open at both. Cannot tell without a clock. */
struct measure watched_duration(const struct watched *watched, double from_s, double to_s);

#endif
