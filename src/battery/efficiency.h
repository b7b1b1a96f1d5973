/* Efficiency: charge and energy that came out over those that went in, over a closed cycle.
 *
 * The cycle is closed when the readings show the sample charged before the test and charged again after it by the
 * same criterion: volts held that are the same (within 1 %) while the current died away to the same (within a factor
 * of 1.5; our convention). Full it need not be; the same it must. All discharges and charges between the two ends
 * count. One meter measured both, so gains cancel in the ratio; its offset does not, since it acts one way on both. */
#ifndef RUNDOWN_BATTERY_EFFICIENCY_H
#define RUNDOWN_BATTERY_EFFICIENCY_H

#include "battery/findings.h"

/* Fills efficiency_charge and efficiency_energy. Needs the test, the chargings and the amounts of the runs. */
void efficiency_find(struct findings *findings);

/* Whether two charges ended alike. */
bool efficiency_alike(const struct charging *a, const struct charging *b);

/* a / b with what they share cancelled to first order; closed. */
struct measure efficiency_ratio(const struct measure *a, const struct measure *b);

#endif
