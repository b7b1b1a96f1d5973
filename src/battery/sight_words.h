/* What the words of a mark say has just happened.
 *
 * `inverter on`, `burst`, `burst off`, `cut-off, meter dark`, `charger on`, `inverter gave up`, … by words,
 * not by exact phrases. What stands after `before`, `until`, `no`, `not` or `without` has not happened. */
#ifndef RUNDOWN_BATTERY_SIGHT_WORDS_H
#define RUNDOWN_BATTERY_SIGHT_WORDS_H

#include "battery/sight.h"

unsigned sight_says(const char *text);

#endif
