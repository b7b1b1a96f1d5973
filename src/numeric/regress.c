#include "numeric/regress.h"

#include "base/memory.h"
#include "numeric/guard.h"

#include <float.h>
#include <gsl/gsl_multifit.h>
#include <stdbool.h>

static bool all_finite(const double *values, size_t count)
{
    for (size_t k = 0; k < count; k++)
        if (!isfinite(values[k]))
            return false;
    return true;
}

static enum answer solve(gsl_multifit_linear_workspace *work, const double *X, const double *y, double *b,
                         double *covariance, double *rss)
{
    size_t n = work->nmax, p = work->pmax, rank = 0;
    gsl_matrix_const_view X_view = gsl_matrix_const_view_array(X, n, p);
    gsl_vector_const_view y_view = gsl_vector_const_view_array(y, n);
    gsl_vector_view b_view = gsl_vector_view_array(b, p);
    gsl_matrix_view covariance_view = gsl_matrix_view_array(covariance, p, p);
    /* Columns depend on each other when a singular value drowns in the rounding of the others (Golub &
     * Van Loan 2013, Matrix Computations, 5.4.1). */
    double tolerance = DBL_EPSILON * (double)p;
    int fault = gsl_multifit_linear_tsvd(&X_view.matrix, &y_view.vector, tolerance, &b_view.vector,
                                         &covariance_view.matrix, rss, &rank, work);
    if (fault != 0 || rank < p)
        return ANSWER_DEGENERATE;
    return all_finite(b, p) ? ANSWER_OK : ANSWER_NOT_FINITE;
}

enum answer regress(const double *X, const double *y, size_t n, size_t p, double *ret_b,
                    double *ret_covariance, struct regress *ret_fit)
{
    if (n < p || p == 0)
        return ANSWER_TOO_FEW;
    if (!all_finite(X, n * p) || !all_finite(y, n))
        return ANSWER_NOT_FINITE;
    guard_gsl();
    gsl_multifit_linear_workspace *work = gsl_multifit_linear_alloc(n, p);
    if (work == NULL)
        return ANSWER_NO_MEMORY;
    double *b = memory_get(p * sizeof *b), *covariance = memory_get(p * p * sizeof *covariance), rss = 0;
    enum answer answer = solve(work, X, y, b, covariance, &rss);
    if (answer == ANSWER_OK) {
        double dof = (double)(n - p);
        memcpy(ret_b, b, p * sizeof *b);
        for (size_t k = 0; ret_covariance != NULL && k < p * p; k++)
            ret_covariance[k] = dof > 0 ? covariance[k] : NAN;
        *ret_fit = (struct regress){dof > 0 ? sqrt(rss / dof) : NAN, rss, dof};
    }
    gsl_multifit_linear_free(work);
    free(b);
    free(covariance);
    return answer;
}
