/* Protections: trips, holds, low stops and warming, found in this order from what was watched. */
#ifndef RUNDOWN_BATTERY_PROTECTIONS_H
#define RUNDOWN_BATTERY_PROTECTIONS_H

#include "battery/watched.h"
#include "quantity/series.h"

/* Fills trips, holds, low_stops and warmings of the findings that are watched. Needs runs, phases, steps, endings, and
 * whether the sample was full. */
void protections_find(const struct watched *watched, struct findings *findings);

/* The same of a log. */
void protections_of_series(const struct series *series, const struct rig *rig, const struct asked *asked,
                           struct findings *findings);

#endif
