/* Charges and rests among sights: the same findings as of a log (charging.h, resting.h), from the few instants at which
 * somebody read the charger's display, a shunt's meter or a voltmeter. What somebody wrote down of a full sample counts
 * where the readings themselves cannot tell. */
#ifndef RUNDOWN_BATTERY_SIGHT_CHARGING_H
#define RUNDOWN_BATTERY_SIGHT_CHARGING_H

#include "battery/sight.h"

/* Fill chargings and restings of the findings. Need the runs measured. */
void sight_chargings(struct course *course);
void sight_restings(struct course *course);

#endif
