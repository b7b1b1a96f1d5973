/* Delivery: which runs of a log are its test, and what the test had delivered by a given moment.
 *
 * The test is the stretch of runs that delivered the most charge without a charge of note between. A
 * charge is of note when it gives back more than a quarter of what was delivered (our convention): the
 * stretch is the one that makes (charge delivered - 4 · charge put in) largest, so in none of its
 * beginnings and none of its ends has charging reached a quarter of the delivery. It begins and ends
 * with a discharge, and it ends for good where the BMS opened: what a charger then wakes is another
 * matter. Charge that short pulses put back is taken off what the test delivered; rests count nothing. */
#ifndef RUNDOWN_BATTERY_DELIVERY_H
#define RUNDOWN_BATTERY_DELIVERY_H

#include "battery/amounts.h"

struct delivery {
    const struct basis *basis;
    const struct run *runs;
    const struct throughput *throughs; /* of the runs */
    size_t first, last;                /* runs of the test */
};

/* False when no run is a discharge. */
bool delivery_find(const struct run *runs, const struct throughput *throughs, size_t count, size_t *ret_first,
                   size_t *ret_last);

/* All of it, and what had left by a place within run `run` of the test. */
struct throughput delivery_whole(const struct delivery *delivery);
struct throughput delivery_until(const struct delivery *delivery, size_t run, struct place place);

#endif
