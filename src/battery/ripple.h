/* Ripple: how much of the energy of a discharge the product of mean volts and mean amps overstates.
 *
 * An inverter draws its current in pulses, at twice the mains' frequency; volts fall while amps rise, so a
 * meter that multiplies means shows R·σ_I² more than leaves the sample. A load that draws the full-wave sin²
 * current of an inverter without input capacitors has (σ_I / mean)² = 1/2 exactly; capacitors lower it, to
 * near nothing in good ones. Where neither the command line nor the rig states the ripple:
 *   - a load that kept its current or its resistance is none of that sort: no ripple
 *   - any other may be an inverter: (σ_I / mean)² anywhere between 0 and 1/2
 * What is sure is taken off the energy; what is only possible is a bound about it, so that an energy with an
 * unknown ripple is the plain integral. R is the median of the
 * resistances that the steps show soonest; at the ripple's frequency it is lower, by up to a
 * fifth or so (common practice, no source), which is in its uncertainty. */
#ifndef RUNDOWN_BATTERY_RIPPLE_H
#define RUNDOWN_BATTERY_RIPPLE_H

#include "battery/amounts.h"
#include "battery/findings.h"

/* Needs the steps with their resistances, and the load law. Says in a notice what it assumed, and when no
 * step showed a resistance. */
struct ripple ripple_find(const struct rig *rig, const struct asked *asked, const struct findings *findings,
                          struct notices *notices);

#endif
