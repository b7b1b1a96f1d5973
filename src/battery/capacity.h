/* Capacity: charge and energy from the start of the test to each cut-off voltage.
 *
 * The cut-off is reached when the volts under load come down to it in a phase that is no pulse or burst, and do
 * not come back at the next reading (a lone low reading is a glitch). Where noise makes them pass it
 * several times, the middle between the first and the last of these counts. A cut-off that only such a one
 * went below is not reached, and that is said.
 *
 * The voltage channel's own error moves the instant: the amount between cut-off plus and minus that
 * error is what it costs, and it goes into the budget beside the amount's own parts. */
#ifndef RUNDOWN_BATTERY_CAPACITY_H
#define RUNDOWN_BATTERY_CAPACITY_H

#include "battery/delivery.h"
#include "battery/findings.h"

/* The usual cut-offs of a pack of so many lithium iron phosphate cells, highest first, into ret_v (room
 * for ASKED_CUT_OFFS); returns their number. 3.0, 2.8 and 2.5 V a cell, and the round figures between 10
 * and 12 V that are set on loads for four cells, scaled to the pack. Common practice, no source. */
int capacity_usual(int cells, double *ret_v);

/* Fills findings->capacities, highest cut-off first: each asked for, and each usual one that was passed.
 * Needs the phases of findings. */
void capacity_find(const struct delivery *delivery, const struct asked *asked, struct findings *findings,
                   struct notices *notices);

#endif
