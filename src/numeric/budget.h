/* Closing a budget: from the parts of a measure to its uncertainty and interval.
 *
 * u is the root of the sum of the squared parts, dof the effective degrees of freedom by the
 * Welch-Satterthwaite formula (JCGM 100:2008, 5.1.2 and G.4.1). The 95 % interval is that of the
 * distribution of the sum of the parts (JCGM 101:2008; sumdist.h), symmetric about the value: a normal
 * part with finite degrees of freedom counts as Student's t there (JCGM 101, 6.4.9), the other shapes
 * as they are, whatever the degrees of freedom of their u. */
#ifndef RUNDOWN_NUMERIC_BUDGET_H
#define RUNDOWN_NUMERIC_BUDGET_H

#include "quantity/measure.h"

/* Fills u, dof, lo and hi. A measure that is not known is left as it is; one with a part that is not a
 * finite number becomes unknown. Without parts the value is exact: u is 0 and dof infinite. */
void budget_close(struct measure *measure);

/* Probability that the true value is at or below x, by the same distribution. NaN when not known. */
double budget_probability_below(const struct measure *measure, double x);

#endif
