/* Least-squares straight lines, y = intercept + slope x, with their covariance.
 *
 * Unweighted (u NULL): every reading has the same unknown noise, which the residuals tell; standard
 * uncertainties and covariance are scaled by it (JCGM 100:2008, H.3; Draper & Smith 1998, Applied
 * Regression Analysis, chapter 1). Two readings, or one through the origin, fit exactly and leave no
 * degree of freedom: the coefficients are given, their uncertainties are NaN.
 * Weighted (u given): u[k] > 0 is the standard uncertainty of y[k] and the weight is 1/u^2; the
 * covariance follows from these alone, and chi2 over dof tells whether they were right.
 *
 * Sums are taken about the weighted means and compensated, so that large offsets cost no digits. */
#ifndef RUNDOWN_NUMERIC_LINEFIT_H
#define RUNDOWN_NUMERIC_LINEFIT_H

#include "numeric/answer.h"

#include <stddef.h>

struct linefit {
    double intercept, slope;
    double u_intercept, u_slope, covariance; /* of intercept and slope */
    double residual_sd; /* sqrt(chi2 / dof): in the unit of y, or, weighted, without unit */
    double chi2;        /* sum of the squared (weighted) residuals */
    double dof;         /* readings less coefficients */
};

/* Not ANSWER_OK: fewer than two readings, all x equal, a value or u that makes no sense. */
enum answer linefit(const double *x, const double *y, const double *u, size_t n, struct linefit *ret_fit);

/* Through the origin: intercept, its u and the covariance are 0. At least one x must not be 0. */
enum answer linefit_origin(const double *x, const double *y, const double *u, size_t n,
                           struct linefit *ret_fit);

/* The line at x, and the standard uncertainty of the line there (not of a further reading). */
double linefit_at(const struct linefit *fit, double x, double *ret_u);

#endif
