/* Trip judge: what a trip was of, and what of it was shown; alike for logs and for readings by eye.
 *
 * A charge was stopped for the temperature of a sensor when a mark says that it was treated, or when the temperature
 * moved by TREATED_K within the run; for a full cell when, with neither, the mean of the cells stood above the knee. A
 * discharge was stopped for an empty cell when it was nearly empty. Either, with none of these, for too much current when
 * that was raised no more than RAISE_ACTS_S before. After longer it may have been heat as well: that is not told.
 *
 * The board acts on its own sensor, which lags behind the place, and acts a while later: together by 0 to
 * TRIP_LAG_MOST_S. On a slow ramp what that leaves open is small enough for a threshold: the place's temperature as long
 * ago as half of that, give or take the same, the ends no less likely than the middle: a probe may lie on the sensor
 * itself, or outside the case (an arcsine distribution). The lag is one and the same at every stop and release: it stays
 * whole in the mean of repeats, and adds up in the hysteresis, where a lag of nothing at all, a probe on the sensor,
 * must not fall outside (a normal distribution as wide).
 *
 * A trip that nothing tells the cause of repeats the one before it, when the temperature went the same way to within
 * REPEATS_K of where that came. */
#ifndef RUNDOWN_BATTERY_TRIP_JUDGE_H
#define RUNDOWN_BATTERY_TRIP_JUDGE_H

#include "battery/trip.h"
#include "battery/trip_stimulus.h"
#include "quantity/accuracy.h"

/* What a stop of a charge cannot be told from, unless the volts are the pack's own. */
#define TRIP_CLIP "volts that were read at the supply would show the same of a clip that slipped off"

/* Common practice, no source. */
#define TREATED_K 8.0
#define RAISE_ACTS_S 120.0
#define RAISED_BY 1.05 /* of what flowed before */

#define REPEATS_K 3.0

struct trip_signs {
    bool low;            /* of a discharge: nearly empty */
    bool above_knee;     /* of a charge */
    double moved_k;      /* since the run began; NaN */
    double raised_for_s; /* how long the current stood that it was raised to; NaN: it was not raised */
    const struct trip *before; /* the trip before it; NULL */
};
enum trip_way trip_way_of(const struct trip *trip, const struct trip_signs *signs);

/* From the mark to the trip; cannot tell without one. */
struct measure trip_delay(const struct told *stimulus, const struct trip *trip);

/* The probe's own lag as the rig states it. */
struct measure trip_probe_tau(const struct rig *rig);

/* Of the pack's own sensor, from the place's temperature and its slope over TRIP_LAG_MOST_S before. Closed. */
struct measure trip_threshold(const struct measure *place_degc, double slope_k_per_s, double slope_u);

/* Fills hysteresis and words from the rest; takes back the stimulus of what answered volts, and the thresholds of what
 * answered no temperature. `volts_at_pack`: read at the terminals, not at the supply. */
void trip_close(struct trip *trip, bool volts_at_pack);

#endif
