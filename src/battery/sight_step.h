/* Steps between phases of sights, with the resistance where the two instants stand close together. */
#ifndef RUNDOWN_BATTERY_SIGHT_STEP_H
#define RUNDOWN_BATTERY_SIGHT_STEP_H

#include "battery/sight.h"

/* Further apart the slow part of the voltage and the discharge itself would count as resistance. Common
 * practice: 30 s is the longest usual delay. */
#define STEP_WITHIN_S 60.0

/* Fills the steps of findings. Needs the times. */
void sight_steps(struct course *course);

#endif
