/* Protections among sights: trips, holds, low stops and warming by the same searches as of a log, from the few instants
 * at which somebody looked. What lies between two of them is wide, and stays so. */
#ifndef RUNDOWN_BATTERY_SIGHT_PROTECTIONS_H
#define RUNDOWN_BATTERY_SIGHT_PROTECTIONS_H

#include "battery/sight.h"

/* Fills trips, holds, low_stops and warmings of the findings. Needs the runs measured, the steps, and the test. */
void sight_protections(struct course *course);

#endif
