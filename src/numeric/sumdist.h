/* The distribution of a sum of independent contributions, each symmetric about zero with a shape of its
 * own: what JCGM 101:2008 finds by random draws, found without them. Where one rectangular contribution
 * dominates, its 95 % interval is clearly narrower than that of a normal of the same u.
 *
 * The characteristic function of the sum is the product of those of the parts; the distribution
 * function is recovered from it by a Fourier sum at half-integer places, which is exact for a sum that
 * cannot leave the period (Gil-Pelaez 1951, Biometrika 38:481; Davies 1973, Biometrika 60:415).
 * Student's t is taken as a normal whose variance is spread (Gosset 1908, Biometrika 6:1); its heavy
 * tails, which no period holds, are put in closed form and only the rest is summed. All-normal sums and
 * single parts have closed forms. No draws, no allocation; a call takes some tens of microseconds, and about a
 * millisecond at worst.
 *
 * Accuracy: the probability is good to 1e-6, to 1e-4 when a t of fewer than two degrees of freedom is
 * among the parts. */
#ifndef RUNDOWN_NUMERIC_SUMDIST_H
#define RUNDOWN_NUMERIC_SUMDIST_H

#include "quantity/measure.h"

#include <stddef.h>

struct sumdist_part {
    double u; /* as quantity/measure.h has it for each shape; the sign does not matter */
    enum shape shape;
    double dof; /* counts for SHAPE_T alone; INFINITY makes it normal */
};

/* Probability that the sum is at or below x. Parts with u = 0 are nothing; without any part the sum is
 * zero. NaN when a u is not finite or the dof of a SHAPE_T is below 1/2, where the u itself is known to
 * no better than 100 % (JCGM 100:2008, G.4.2). */
double sumdist_cdf(const struct sumdist_part *parts, size_t n, double x);

/* The x that the sum stays at or below with probability p; NaN unless 0 < p < 1, and as above. The
 * shortest interval that holds the fraction p reaches from -x to x with x = quantile((1 + p) / 2). */
double sumdist_quantile(const struct sumdist_part *parts, size_t n, double p);

#endif
