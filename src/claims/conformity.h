/* Conformity: the probability that a measured quantity meets a limit (JCGM 106:2012, clause 7).
 *
 * The measure's propagated distribution (all its parts with their shapes) is the knowledge of the
 * quantity; no prior beyond it. A claim is met when the probability is at least `decide` (0.975 by
 * default), not met when at most 1 - decide: exactly when the 95 % interval clears the limit. */
#ifndef RUNDOWN_CLAIMS_CONFORMITY_H
#define RUNDOWN_CLAIMS_CONFORMITY_H

#include "quantity/measure.h"

double conformity_at_least(const struct measure *measure, double limit); /* P(X >= limit); NaN if unknown */
double conformity_at_most(const struct measure *measure, double limit);
double conformity_within(const struct measure *measure, double lo, double hi);

#endif
