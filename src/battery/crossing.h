/* Crossing: the moment at which the test had delivered a rated charge or energy. Its uncertainty is that
 * of the amount, divided by the current (the power) of that moment. */
#ifndef RUNDOWN_BATTERY_CROSSING_H
#define RUNDOWN_BATTERY_CROSSING_H

#include "battery/delivery.h"
#include "battery/findings.h"

/* `rated` in Ah, or in Wh if `energy`; NaN gives a crossing that was not asked for. */
struct crossing crossing_find(const struct delivery *delivery, bool energy, double rated);

#endif
