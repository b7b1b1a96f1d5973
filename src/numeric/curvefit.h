/* Nonlinear least squares: the parameters of a curve (GSL multifit nlinear: Levenberg-Marquardt with
 * geodesic acceleration, Transtrum & Sethna 2012, arXiv:1201.5885; parameters scaled as More 1978 does).
 *
 * The search finds a minimum, which need not be the lowest: the start decides. Not converged is an
 * answer: the place reached is returned with it, its uncertainties are NaN. */
#ifndef RUNDOWN_NUMERIC_CURVEFIT_H
#define RUNDOWN_NUMERIC_CURVEFIT_H

#include "numeric/answer.h"

#include <stdbool.h>
#include <stddef.h>

enum { CURVEFIT_PARAMETERS = 12 };

/* Residuals at n readings: model less reading, over the reading's standard uncertainty if it is known.
 * A value that is not finite tells the search to step less far. */
typedef void curvefit_residuals(const double *parameters, const void *context, double *ret_residuals);

/* Derivatives of the residuals, n rows of p. */
typedef void curvefit_derivatives(const double *parameters, const void *context, double *ret_derivatives);

struct curvefit_task {
    curvefit_residuals *residuals;
    curvefit_derivatives *derivatives; /* NULL: by central differences */
    const void *context;               /* handed through */
    size_t n, p;                       /* readings, parameters: 1 … CURVEFIT_PARAMETERS, no more than n */
    bool absolute; /* residuals are over known uncertainties: the covariance is not scaled by chi2/dof */
};

struct curvefit {
    double parameters[CURVEFIT_PARAMETERS];
    double u[CURVEFIT_PARAMETERS];                                /* NaN without a degree of freedom */
    double covariance[CURVEFIT_PARAMETERS * CURVEFIT_PARAMETERS]; /* p rows of p */
    double chi2;                                                  /* sum of the squared residuals */
    double residual_sd;                                           /* sqrt(chi2 / dof) */
    double dof;
    int iterations;
};

/* Fills ret_fit for ANSWER_OK and ANSWER_NOT_CONVERGED; else it is untouched: too few readings, a start
 * at which the residuals are not finite, parameters that the readings do not determine, no memory. */
enum answer curvefit(const struct curvefit_task *task, const double *start, int most_iterations,
                     struct curvefit *ret_fit);

#endif
