/* What stood around the test of sights: whether the sample was full before, what a charger pushed in to wake
 * it, the efficiency of a closed cycle, and the conditions of the test.
 *
 * Full is shown by words (`full`, `charged`) before the first load, or by a charge before it whose volts
 * held within 1 % while the current died away to a quarter of its peak or less, as for logs. */
#ifndef RUNDOWN_BATTERY_SIGHT_CONDITIONS_H
#define RUNDOWN_BATTERY_SIGHT_CONDITIONS_H

#include "battery/sight.h"

/* Needs the test and all that is known of it. */
void sight_conditions(struct course *course);

#endif
