/* The mean volts of sights, weighted with charge: the volts of each leg times the charge that the charge
 * tally, or else the load law, gives it. */
#ifndef RUNDOWN_BATTERY_SIGHT_VOLTS_H
#define RUNDOWN_BATTERY_SIGHT_VOLTS_H

#include "battery/sight_tally.h"

/* Of the legs first…end - 1; `chains` are those of the charge tally there. Closed. */
struct measure sight_volts(const struct course *course, const struct chains *chains, size_t first, size_t end);

#endif
