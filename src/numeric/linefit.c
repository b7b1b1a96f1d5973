#include "numeric/linefit.h"

#include "numeric/sum.h"

static double weight_of(const double *u, size_t k)
{
    return u != NULL ? 1 / (u[k] * u[k]) : 1;
}

static enum answer check(const double *x, const double *y, const double *u, size_t n, size_t least)
{
    if (n < least)
        return ANSWER_TOO_FEW;
    for (size_t k = 0; k < n; k++)
        if (!isfinite(x[k]) || !isfinite(y[k]) || (u != NULL && !(u[k] > 0 && isfinite(weight_of(u, k)))))
            return ANSWER_NOT_FINITE;
    return ANSWER_OK;
}

static double weighted_mean(const double *values, const double *u, size_t n)
{
    struct sum sum = {0, 0}, weights = {0, 0};
    for (size_t k = 0; k < n; k++) {
        sum_add(&sum, weight_of(u, k) * values[k]);
        sum_add(&weights, weight_of(u, k));
    }
    return sum_value(sum) / sum_value(weights);
}

/* Weighted sums about a centre: of the weights, of squares of x, and of x times y. */
struct centred {
    double x, y, w, xx, xy;
};

static struct centred sums_about(double centre_x, double centre_y, const double *x, const double *y,
                                 const double *u, size_t n)
{
    struct sum w = {0, 0}, xx = {0, 0}, xy = {0, 0};
    for (size_t k = 0; k < n; k++) {
        double weight = weight_of(u, k), dx = x[k] - centre_x;
        sum_add(&w, weight);
        sum_add(&xx, weight * dx * dx);
        sum_add(&xy, weight * dx * (y[k] - centre_y));
    }
    return (struct centred){centre_x, centre_y, sum_value(w), sum_value(xx), sum_value(xy)};
}

static double chi2_about(const struct centred *c, double slope, const double *x, const double *y,
                         const double *u, size_t n)
{
    struct sum sum = {0, 0};
    for (size_t k = 0; k < n; k++) {
        double residual = (y[k] - c->y) - slope * (x[k] - c->x);
        sum_add(&sum, weight_of(u, k) * residual * residual);
    }
    return sum_value(sum);
}

/* Variance that the covariance of unit weight is multiplied by: NaN without a degree of freedom. */
static double variance_scale(double chi2, double dof, const double *u)
{
    if (u != NULL)
        return 1;
    return dof > 0 ? chi2 / dof : NAN;
}

enum answer linefit(const double *x, const double *y, const double *u, size_t n, struct linefit *ret_fit)
{
    enum answer answer = check(x, y, u, n, 2);
    if (answer != ANSWER_OK)
        return answer;
    size_t same = 1;
    while (same < n && x[same] == x[0])
        same++;
    struct centred c = sums_about(weighted_mean(x, u, n), weighted_mean(y, u, n), x, y, u, n);
    if (same == n || !(c.xx > 0))
        return ANSWER_DEGENERATE;
    struct linefit fit = {.slope = c.xy / c.xx, .dof = (double)n - 2};
    fit.intercept = c.y - fit.slope * c.x;
    fit.chi2 = chi2_about(&c, fit.slope, x, y, u, n);
    fit.residual_sd = fit.dof > 0 ? sqrt(fit.chi2 / fit.dof) : NAN;
    double scale = variance_scale(fit.chi2, fit.dof, u);
    fit.u_slope = sqrt(scale / c.xx);
    fit.u_intercept = sqrt(scale * (1 / c.w + c.x * c.x / c.xx));
    fit.covariance = -scale * c.x / c.xx;
    *ret_fit = fit;
    return ANSWER_OK;
}

enum answer linefit_origin(const double *x, const double *y, const double *u, size_t n,
                           struct linefit *ret_fit)
{
    enum answer answer = check(x, y, u, n, 1);
    if (answer != ANSWER_OK)
        return answer;
    struct centred c = sums_about(0, 0, x, y, u, n);
    if (!(c.xx > 0))
        return ANSWER_DEGENERATE;
    struct linefit fit = {.slope = c.xy / c.xx, .dof = (double)n - 1};
    fit.chi2 = chi2_about(&c, fit.slope, x, y, u, n);
    fit.residual_sd = fit.dof > 0 ? sqrt(fit.chi2 / fit.dof) : NAN;
    fit.u_slope = sqrt(variance_scale(fit.chi2, fit.dof, u) / c.xx);
    *ret_fit = fit;
    return ANSWER_OK;
}

double linefit_at(const struct linefit *fit, double x, double *ret_u)
{
    double variance =
        fit->u_intercept * fit->u_intercept + 2 * x * fit->covariance + x * x * fit->u_slope * fit->u_slope;
    *ret_u = sqrt(variance);
    return fit->intercept + fit->slope * x;
}
