/* From sightings to sights: for each quantity of an instant the bounds that all its readings allow, the
 * current (from A, else from W and V) turned so that it leaves the sample, and the state.
 *
 * Readings of one quantity at one instant that have something in common give what they have in common;
 * readings that contradict each other give all that any of them allows, and a notice. The direction of
 * the current is the stated one, else what the marks say, else what the volts say: they fall when charge
 * leaves. */
#ifndef RUNDOWN_BATTERY_SIGHT_VIEW_H
#define RUNDOWN_BATTERY_SIGHT_VIEW_H

#include "base/status.h"
#include "battery/sight.h"

/* Fills sight and node of the course, whose sightings, rig and notices are set. */
enum status sight_view(struct course *course, struct message *message);

#endif
