/* Trips: where the pack's board stopped a charge or a discharge, and let it go on again.
 *
 * A run that the pack's BMS ended (ending.h says by what evidence: a supply's limit or a slipped clip stops the current
 * too, but then the terminals do not behave as those of a pack that has opened) is a trip; the next run of the same kind
 * is its release, when the readings show it. The instant of either lies within the interval in which the current
 * changed.
 *
 * With a temperature at the sensor (series channel temperature: where the probe sat), corrected for the probe's own lag
 * (probe_lag.h), what is found is the temperature of the probe's place at that moment; what it was of, and whether that
 * is a threshold, trip_judge.h says. Without a temperature only this is shown: that the protection exists, and acted so
 * many seconds after the stimulus that a mark tells of (trip_stimulus.h). */
#ifndef RUNDOWN_BATTERY_TRIPS_H
#define RUNDOWN_BATTERY_TRIPS_H

#include "battery/findings.h"

struct watched;

enum { TRIPS = 64 };

/* In the order of time; at most TRIPS, returns how many. Needs runs and their endings. */
size_t trips_find(const struct watched *watched, struct trip ret_trips[static TRIPS]);

enum trip_value { TRIP_DEGC, TRIP_RELEASE_DEGC, TRIP_THRESHOLD, TRIP_RELEASE_THRESHOLD, TRIP_HYSTERESIS, TRIP_VALUES };

/* The stop of that run for cold or heat; NULL: none. Its end says nothing of a charger or of how full the sample was. */
const struct trip *trip_by_sensor(const struct findings *findings, size_t run);

/* Repeats of one way, pooled: the mean with what is common to all (the probe's gain, the lags) kept, and their scatter
 * counted. A hysteresis of a place is none of the pack's own and left out. Cannot tell without any. */
struct measure trips_pooled(const struct trip *trips, size_t count, bool charging, enum trip_way way, enum trip_value value);

/* All of them; `count` of those that a temperature was read of. */
struct trip_repeats {
    size_t count;
    struct measure of[TRIP_VALUES];
};
struct trip_repeats trips_repeats(const struct trip *trips, size_t count, bool charging, enum trip_way way);

#endif
