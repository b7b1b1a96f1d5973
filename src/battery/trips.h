/* Trips: where the pack's board stopped a charge or a discharge, and let it go on again.
 *
 * A run that the pack's BMS ended (ending.h says by what evidence: a supply's limit or a slipped clip stops the current
 * too, but then the terminals do not behave as those of a pack that has opened) is a trip; the next run of the same kind
 * is its release, when the readings show it. The instant of either lies within the interval in which the current
 * changed.
 *
 * With a temperature at the sensor (series channel temperature: where the probe sat), corrected for the probe's own lag
 * (probe_lag.h), a trip while the temperature fell is a cold one, while it rose a hot one. What is found is the
 * temperature of the probe's place at that moment: the lag of the pack's own sensor and the delay of its board stay
 * unknown, so that a threshold proper wants slow ramps in both directions. Without a temperature only this is shown:
 * that the protection exists, and acted so many seconds after the stimulus that a mark tells of. */
#ifndef RUNDOWN_BATTERY_TRIPS_H
#define RUNDOWN_BATTERY_TRIPS_H

#include "battery/findings.h"
#include "quantity/series.h"

enum trip_way { TRIP_UNKNOWN, TRIP_COLD, TRIP_HOT };
const char *trip_way_name(enum trip_way way); /* "cold", "hot", "" */

struct trip {
    size_t run;                  /* that was stopped */
    bool charging;
    enum trip_way way;
    double at_s, at_halfwidth_s; /* when the current stopped */
    double from_a;               /* what flowed before, positive */
    double released_s, released_halfwidth_s; /* NaN: not seen */
    const char *stimulus;        /* words of the mark before it, borrowed from the series; NULL: none */
    struct measure delay_s;      /* from that mark */
    struct measure trip_degc, release_degc; /* of the probe's place */
    struct measure hysteresis_k; /* positive */
    double slope_k_per_s;        /* of the temperature at the trip; NaN */
};

enum { TRIPS = 64 };

/* In the order of time; at most TRIPS, returns how many. Needs runs and their endings. */
size_t trips_find(const struct series *series, const struct rig *rig, const struct findings *findings,
                  struct trip ret_trips[static TRIPS]);

/* Repeats of one way, pooled: the mean with what is common to all (the probe's gain) kept, and their scatter counted.
 * Cannot tell without any. */
struct measure trips_pooled(const struct trip *trips, size_t count, bool charging, enum trip_way way, bool release);

#endif
