/* Phases of sights: stretches of nodes between which the load did not change, and the runs they form.
 *
 * Two neighbouring nodes are of one phase when power, current or resistance can have stayed the same within
 * what their words allow and SAME_LOAD, the drift that a load is granted. Phases whose loads can be
 * the same make one class, whose level is found from all of them. A phase of another load between two
 * of one class is a pulse. */
#ifndef RUNDOWN_BATTERY_SIGHT_PHASE_H
#define RUNDOWN_BATTERY_SIGHT_PHASE_H

#include "battery/sight.h"

/* Common practice, no source. */
#define SAME_LOAD 0.05

/* Fills volts, phase_of, class_of and the phases and runs of findings, as far as they need no times or
 * amounts. */
void sight_phases(struct course *course);

#endif
