/* Carry: what flowed between two sights, by the load law.
 *
 * Under one load I = k·V^n, so the mean current of a leg is k times the mean of V^n along it. The path
 * of the volts between two sights is not known; it lies between bounds:
 *   monotone   between the two volts seen, since volts fall under a load and rise under a charge
 *   recovery   after a heavier load volts may first come back as far as they stood before it
 *   bent down  where the legs before and after fall ever more steeply, as on the way to empty: above the
 *              straight line, below the lines carried on from the neighbours
 *   the end    from the last volts seen down to at least LEAST_VOLTS of them, at the cut-off
 * The mean is put in the middle of what the bounds allow, the half-width is kept. Under constant
 * power the energy needs no volts, under constant current the charge needs none. */
#ifndef RUNDOWN_BATTERY_SIGHT_CARRY_H
#define RUNDOWN_BATTERY_SIGHT_CARRY_H

#include "battery/sight.h"

/* No pack gives up its load later than at this share of the nominal volts: 2 V a lithium iron phosphate
 * cell. Common practice, no source. */
#define LEAST_VOLTS 0.6

/* Lays out legs and changes and the means of each leg. Needs the phases and laws. */
void sight_carry(struct course *course);

/* Bounds of the mean of V^n along a leg. */
void sight_mean_power(const struct course *course, const struct leg *leg, double n, double *ret_lo,
                      double *ret_hi);

#endif
