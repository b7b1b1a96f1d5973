/* The test among sights: which runs it is made of, what it delivered, down to which cut-offs, when it passed
 * the rated values, and what the meter's tallies say of it. */
#ifndef RUNDOWN_BATTERY_SIGHT_TEST_H
#define RUNDOWN_BATTERY_SIGHT_TEST_H

#include "battery/sight.h"

/* Needs the runs measured. */
void sight_test(struct course *course);

#endif
