/* What legs add up to by the load law, with all that their ends leave open; see battery/sight_amount.h. */
#ifndef RUNDOWN_BATTERY_SIGHT_SUM_H
#define RUNDOWN_BATTERY_SIGHT_SUM_H

#include "battery/amounts.h"
#include "battery/sight.h"

struct sight_sum {
    double charge_c[LAWS], energy_j[LAWS];
    double duration_s, volt_s, square_a2s;
    double discharge_a2s; /* of discharges alone, on which the load's ripple acts */
    double level_c2, level_j2;   /* variance from what the words leave open of the levels */
    double wander_c2, wander_j2; /* and from the load's own wander */
    struct widths gap_c, gap_j;
    struct widths step_c, step_j;     /* changes that a mark or a clock tells */
    struct widths unseen_c, unseen_j; /* changes that happened at some time between two readings */
    const char *unknown; /* why the sum does not stand by itself; NULL when it does */
};

/* Of the legs first…end - 1 for which `out` does not hold true. Without `out` the sum is to stand beside a
 * tally, and what rests on a tally itself is not known. */
struct sight_sum sight_sum(const struct course *course, size_t first, size_t end, const bool *out);

/* Middle and half-width over the laws that stand. */
double sum_middle(const struct course *course, const double of_law[LAWS], double *ret_half);

#endif
