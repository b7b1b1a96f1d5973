/* Capacity to cut-offs and crossings of rated values among sights.
 *
 * The volts came down to a cut-off somewhere between the last instant above it and the first at or below
 * it, outside pulses; what flowed between the two is left open. The voltage channel's own error moves
 * the instant; it costs what flows while the volts fall by so much. */
#ifndef RUNDOWN_BATTERY_SIGHT_CAPACITY_H
#define RUNDOWN_BATTERY_SIGHT_CAPACITY_H

#include "battery/sight.h"

/* Of the test, which is the legs first…end - 1. */
void sight_capacities(struct course *course, size_t first, size_t end);
struct crossing sight_crossing(const struct course *course, size_t first, size_t end, bool energy, double rated);

#endif
