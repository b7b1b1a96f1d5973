/* Integrals of what was read.
 *
 * A signal is taken as straight between readings, and the integral of that is exact: of one signal
 * (trapezia), and of the product of two, which is a parabola between readings (Simpson's form,
 * h (2 a0 b0 + 2 a1 b1 + a0 b1 + a1 b0) / 6). Davis & Rabinowitz 1984, Methods of Numerical
 * Integration, chapter 2.
 *
 * t_s ascends (equal neighbours are allowed: an interval of no width); nothing is NaN. A part of a log
 * is integrated by pointing at its first reading. Terms are summed in blocks whose totals are added
 * with compensation (sum.h), so that 20 million intervals lose nothing; the block loop is written in
 * independent lanes for the compiler to turn into vector instructions. The result has the unit of the
 * signal times seconds. No interval gives 0. */
#ifndef RUNDOWN_NUMERIC_INTEGRATE_H
#define RUNDOWN_NUMERIC_INTEGRATE_H

#include <stdbool.h>
#include <stddef.h>

double integrate_linear(const double *t_s, const double *y, size_t n);
double integrate_product(const double *t_s, const double *a, const double *b, size_t n);

/* Both in one pass, the speed of which memory decides: ret[0] of a, ret[1] of a times b. */
void integrate_both(const double *t_s, const double *a, const double *b, size_t n, double ret[2]);

/* A place on the time axis: `fraction` (0 to 1) of the way from reading k to reading k + 1. */
struct place {
    size_t k;
    double fraction;
};

/* False when time_s is outside the readings. Of several readings at that time, the last. */
bool place_at(const double *t_s, size_t n, double time_s, struct place *ret_place);

/* The first place where y comes down to `level` (y[0] at or below it counts); false if it never does. */
bool place_falls_to(const double *y, size_t n, double level, struct place *ret_place);

/* The first place where the running integral of a (times b unless NULL) comes up to `target`. */
bool place_reaches(const double *t_s, const double *a, const double *b, size_t n, double target,
                   struct place *ret_place);

/* The straight line between readings, at an instant. */
double place_value(const double *y, size_t n, struct place place);

/* Integral of a (times b unless NULL) from one instant to another; negative if they are swapped. */
double integrate_between(const double *t_s, const double *a, const double *b, size_t n, struct place from,
                         struct place to);

/* What sampling leaves unknown about the integral of a (times b unless NULL), as standard
 * uncertainties, told from the readings themselves. Take one reading out: the integral changes by the
 * triangle over its neighbours. From these triangles:
 *
 * curvature: if the signal is smooth, the error of the whole grid is a third of what dropping every
 *   second reading changes, signs kept (Richardson & Gaunt 1927, Phil. Trans. R. Soc. A 226:299),
 *   adapted to uneven spacing and never more than the change itself.
 * scatter: if the signal jumps about between readings, or the readings are noisy, the two grids of
 *   half density disagree at random; a quarter of the variance of their difference is the variance of
 *   the full grid (successive differences: von Neumann 1941, Ann. Math. Stat. 12:367). It holds the
 *   noise of the readings too: do not count that twice.
 *
 * Blind spots: what repeats in time with the sampling leaves no trace; a lone gap shows only as far as
 * its edges bend. Three readings have one triangle, which counts as both; fewer give NaN. */
struct sampling {
    double curvature, scatter;
    double scatter_dof; /* of scatter, for readings that scatter independently */
    double u;           /* both, in quadrature */
};
struct sampling integrate_sampling_u(const double *t_s, const double *a, const double *b, size_t n);

#endif
