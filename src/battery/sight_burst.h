/* What a burst among sights cost: ∫ (V_base - V) dq over the burst and its recovery, from the few volts that
 * were read, each mean between bounds.
 *
 * The base that the volts would have kept lies between where they stood before the burst and the straight
 * line from there to the highest volts read after it, since volts fall under a base load, and recover to no
 * more than it. In the burst volts fall from reading to reading; afterwards they rise, ever more slowly
 * (above the straight line), up to that highest reading. Offsets cancel, gains do not. What a burst can have
 * cost in charge is bounded as for logs: volts not yet recovered bring the cut-off forward by dq/dV. */
#ifndef RUNDOWN_BATTERY_SIGHT_BURST_H
#define RUNDOWN_BATTERY_SIGHT_BURST_H

#include "battery/sight.h"

/* Fills the bursts of findings. Needs the steps and the test's energy. */
void sight_bursts(struct course *course);

#endif
