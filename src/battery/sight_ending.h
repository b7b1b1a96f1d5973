/* How a run of sights ended, from the marks and from what was read afterwards. */
#ifndef RUNDOWN_BATTERY_SIGHT_ENDING_H
#define RUNDOWN_BATTERY_SIGHT_ENDING_H

#include "battery/sight.h"

/* Of the run whose last node is `last`. */
void sight_ending(const struct course *course, size_t last, struct run *run);

#endif
