#include "numeric/curvefit.h"

#include "numeric/guard.h"

#include <float.h>
#include <gsl/gsl_blas.h>
#include <gsl/gsl_multifit_nlinear.h>

/* What GSL hands back to the calls below. */
struct call {
    const struct curvefit_task *task;
    double *ahead; /* scratch of n, for derivatives by differences */
};

/* A place where the model has no value is made so bad that the search turns back from it. */
static int call_residuals(const gsl_vector *x, void *params, gsl_vector *f)
{
    const struct call *call = params;
    if (x->stride != 1 || f->stride != 1)
        return GSL_EINVAL;
    call->task->residuals(x->data, call->task->context, f->data);
    for (size_t k = 0; k < f->size; k++)
        if (!isfinite(f->data[k]))
            f->data[k] = sqrt(DBL_MAX);
    return GSL_SUCCESS;
}

/* Central differences; the step balances rounding and curvature (Press et al. 2007, Numerical Recipes,
 * 5.7). */
static void differences(const struct call *call, const gsl_vector *x, gsl_matrix *J)
{
    const struct curvefit_task *task = call->task;
    double at[CURVEFIT_PARAMETERS];
    memcpy(at, x->data, task->p * sizeof *at);
    for (size_t j = 0; j < task->p; j++) {
        double step = cbrt(DBL_EPSILON) * (at[j] != 0 ? fabs(at[j]) : 1);
        at[j] = x->data[j] + step;
        task->residuals(at, task->context, call->ahead);
        for (size_t k = 0; k < task->n; k++)
            gsl_matrix_set(J, k, j, call->ahead[k]);
        double width = at[j];
        at[j] = x->data[j] - step;
        width -= at[j];
        task->residuals(at, task->context, call->ahead);
        for (size_t k = 0; k < task->n; k++)
            gsl_matrix_set(J, k, j, (gsl_matrix_get(J, k, j) - call->ahead[k]) / width);
        at[j] = x->data[j];
    }
}

static int call_derivatives(const gsl_vector *x, void *params, gsl_matrix *J)
{
    const struct call *call = params;
    if (call->task->derivatives != NULL)
        call->task->derivatives(x->data, call->task->context, J->data);
    else
        differences(call, x, J);
    for (size_t k = 0; k < J->size1 * J->size2; k++)
        if (!isfinite(J->data[k]))
            return GSL_EDOM;
    return GSL_SUCCESS;
}

/* At a minimum the residuals stand square on every derivative. The largest cosine is how far the
 * parameters are from there, in units of their own uncertainty (the gtol test of More, Garbow &
 * Hillstrom 1980, ANL-80-74); it depends on no unit. */
static double largest_cosine(const gsl_multifit_nlinear_workspace *work)
{
    double size = gsl_blas_dnrm2(work->f), largest = 0;
    for (size_t j = 0; j < work->J->size2 && size > 0; j++) {
        gsl_vector_const_view column = gsl_matrix_const_column(work->J, j);
        double product, norm = gsl_blas_dnrm2(&column.vector);
        gsl_blas_ddot(&column.vector, work->f, &product);
        largest = norm > 0 ? fmax(largest, fabs(product / (norm * size))) : largest;
    }
    return largest;
}

/* The sum of squares is flat at its minimum: a cosine below the root of the rounding cannot lower it any
 * more. The search goes on a little further while it can, for the sake of the parameters. */
static bool search(gsl_multifit_nlinear_workspace *work, int most_iterations, int *ret_iterations)
{
    int fault = GSL_SUCCESS;
    for (int k = 1; k <= most_iterations && fault == GSL_SUCCESS; k++) {
        *ret_iterations = k;
        fault = gsl_multifit_nlinear_iterate(work);
        if (largest_cosine(work) < 1e-9)
            return true;
    }
    return largest_cosine(work) < sqrt(DBL_EPSILON);
}

/* Inverse of J'J, with the columns scaled alike so that units do not matter. False when a column depends
 * on the others within the rounding of the derivatives. */
static bool unscaled_covariance(const gsl_matrix *J, double rounding, double *ret_covariance)
{
    size_t p = J->size2;
    double size[CURVEFIT_PARAMETERS];
    gsl_matrix *scaled = gsl_matrix_alloc(J->size1, p);
    if (scaled == NULL)
        return false;
    gsl_matrix_memcpy(scaled, J);
    for (size_t j = 0; j < p; j++) {
        gsl_vector_view column = gsl_matrix_column(scaled, j);
        size[j] = gsl_blas_dnrm2(&column.vector);
        gsl_vector_scale(&column.vector, size[j] > 0 ? 1 / size[j] : 0);
    }
    gsl_matrix_view covariance = gsl_matrix_view_array(ret_covariance, p, p);
    bool sound = gsl_multifit_nlinear_covar(scaled, rounding * (double)p, &covariance.matrix) == GSL_SUCCESS;
    gsl_matrix_free(scaled);
    for (size_t i = 0; i < p; i++) {
        sound = sound && ret_covariance[i * p + i] > 0; /* GSL clears what it cannot determine */
        for (size_t j = 0; j < p; j++)
            ret_covariance[i * p + j] /= size[i] * size[j];
    }
    return sound;
}

/* Whether the full step to where the linear model has its minimum would change no parameter by more than
 * 1e-10 of itself: so ends a search whose curve goes through every reading, where rounding is all that
 * is left of the residuals and angles mean nothing. */
static bool step_vanishes(const gsl_multifit_nlinear_workspace *work, const double *unscaled)
{
    size_t p = work->x->size;
    double slope[CURVEFIT_PARAMETERS];
    for (size_t j = 0; j < p; j++) {
        gsl_vector_const_view column = gsl_matrix_const_column(work->J, j);
        gsl_blas_ddot(&column.vector, work->f, &slope[j]);
    }
    for (size_t i = 0; i < p; i++) {
        double step = 0;
        for (size_t j = 0; j < p; j++)
            step += unscaled[i * p + j] * slope[j];
        if (!(fabs(step) <= 1e-10 * fabs(gsl_vector_get(work->x, i))))
            return false;
    }
    return true;
}

static enum answer conclude(const struct curvefit_task *task, const gsl_multifit_nlinear_workspace *work,
                            bool level, struct curvefit *fit)
{
    memcpy(fit->parameters, work->x->data, task->p * sizeof *fit->parameters);
    gsl_blas_ddot(work->f, work->f, &fit->chi2);
    fit->dof = (double)(task->n - task->p);
    fit->residual_sd = fit->dof > 0 ? sqrt(fit->chi2 / fit->dof) : NAN;
    double rounding = task->derivatives != NULL ? DBL_EPSILON : pow(DBL_EPSILON, 2.0 / 3);
    bool sound = unscaled_covariance(work->J, rounding, fit->covariance);
    if (level && !sound)
        return ANSWER_DEGENERATE;
    bool converged = level || (sound && step_vanishes(work, fit->covariance));
    double scale = task->absolute ? 1 : fit->residual_sd * fit->residual_sd;
    for (size_t k = 0; k < task->p * task->p; k++)
        fit->covariance[k] = converged ? fit->covariance[k] * scale : NAN;
    for (size_t k = 0; k < task->p; k++)
        fit->u[k] = sqrt(fit->covariance[k * task->p + k]);
    return converged ? ANSWER_OK : ANSWER_NOT_CONVERGED;
}

static enum answer run(const struct curvefit_task *task, gsl_multifit_nlinear_workspace *work, double *ahead,
                       const double *start, int most_iterations, struct curvefit *fit)
{
    struct call call = {task, ahead};
    gsl_multifit_nlinear_fdf fdf = {
        .f = call_residuals, .df = call_derivatives, .n = task->n, .p = task->p, .params = &call};
    gsl_vector_const_view start_view = gsl_vector_const_view_array(start, task->p);
    task->residuals(start, task->context, ahead);
    for (size_t k = 0; k < task->n; k++)
        if (!isfinite(ahead[k]))
            return ANSWER_NOT_FINITE;
    if (gsl_multifit_nlinear_init(&start_view.vector, &fdf, work) != GSL_SUCCESS)
        return ANSWER_NOT_FINITE;
    bool level = search(work, most_iterations, &fit->iterations);
    return conclude(task, work, level, fit);
}

/* One search by one way of choosing the step. */
static enum answer search_by(const gsl_multifit_nlinear_trs *method, const struct curvefit_task *task,
                             const double *start, int most_iterations, struct curvefit *fit)
{
    gsl_multifit_nlinear_parameters settings = gsl_multifit_nlinear_default_parameters();
    settings.trs = method;
    gsl_multifit_nlinear_workspace *work =
        gsl_multifit_nlinear_alloc(gsl_multifit_nlinear_trust, &settings, task->n, task->p);
    double *ahead = malloc(task->n * sizeof *ahead);
    enum answer answer = ANSWER_NO_MEMORY;
    if (work != NULL && ahead != NULL)
        answer = run(task, work, ahead, start, most_iterations, fit);
    gsl_multifit_nlinear_free(work);
    free(ahead);
    return answer;
}

enum answer curvefit(const struct curvefit_task *task, const double *start, int most_iterations,
                     struct curvefit *ret_fit)
{
    if (task->p == 0 || task->p > CURVEFIT_PARAMETERS || task->n < task->p)
        return ANSWER_TOO_FEW;
    guard_gsl();
    struct curvefit fit = {0};
    enum answer answer = search_by(gsl_multifit_nlinear_trs_lmaccel, task, start, most_iterations, &fit);
    if (answer == ANSWER_NOT_CONVERGED || answer == ANSWER_DEGENERATE) {
        struct curvefit again = {0};
        enum answer second =
            search_by(gsl_multifit_nlinear_trs_ddogleg, task, start, most_iterations, &again);
        if (second == ANSWER_OK || (second == ANSWER_NOT_CONVERGED && again.chi2 < fit.chi2)) {
            answer = second;
            fit = again;
        }
    }
    if (answer == ANSWER_OK || answer == ANSWER_NOT_CONVERGED)
        *ret_fit = fit;
    return answer;
}
