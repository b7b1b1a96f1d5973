/* Efficiency: charge and energy that came out over those that went in, over a closed cycle.
 *
 * The cycle is closed when the log shows the sample full before the test and full again after it by the
 * same criterion: a charge with a tail at the same volts (within 1 %), down to the same current (within a
 * factor of 1.5; our convention). All discharges and charges between the two ends count. One meter measured
 * both, so gains cancel in the ratio; its offset does not, since it acts one way on both. */
#ifndef RUNDOWN_BATTERY_EFFICIENCY_H
#define RUNDOWN_BATTERY_EFFICIENCY_H

#include "battery/delivery.h"
#include "battery/findings.h"

/* Fills efficiency_charge and efficiency_energy. Needs full_before. */
void efficiency_find(const struct delivery *delivery, struct findings *findings);

/* a / b with what they share cancelled to first order; closed. */
struct measure efficiency_ratio(const struct measure *a, const struct measure *b);

#endif
