/* Multiple linear regression, y = X b, by singular value decomposition with scaled columns (GSL
 * multifit), for all readings having the same unknown noise. The constant, if any, is a column of ones.
 *
 * A set of columns that depend on each other within rounding has no answer, rather than one of many. */
#ifndef RUNDOWN_NUMERIC_REGRESS_H
#define RUNDOWN_NUMERIC_REGRESS_H

#include "numeric/answer.h"

#include <stddef.h>

struct regress {
    double residual_sd; /* NaN without a degree of freedom */
    double rss;
    double dof;
};

/* X is n rows of p. ret_b has room for p, ret_covariance for p * p (row by row; NaN without a degree
 * of freedom) or is NULL. Not ANSWER_OK: n < p or p = 0, dependent columns, a value that is not finite, no memory.
 * Takes its own scratch of about X's size for as long as it runs. */
enum answer regress(const double *X, const double *y, size_t n, size_t p, double *ret_b,
                    double *ret_covariance, struct regress *ret_fit);

#endif
