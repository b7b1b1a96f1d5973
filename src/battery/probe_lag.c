#include "battery/probe_lag.h"

#include "numeric/budget.h"
#include "numeric/curvefit.h"
#include "numeric/linefit.h"

#include <math.h>

enum { LEAST_STEP = 6, LEAST_LINE = 4, MOST_LINE = 512, TURNS = 100 };

struct step {
    const double *t_s, *degc;
    size_t n;
};

/* Parameters: T∞, T₀ − T∞, ln τ. */
static void residuals(const double *p, const void *context, double *ret_residuals)
{
    const struct step *step = context;
    for (size_t k = 0; k < step->n; k++)
        ret_residuals[k] = p[0] + p[1] * exp(-(step->t_s[k] - step->t_s[0]) / exp(p[2])) - step->degc[k];
}

struct measure probe_lag_from_step(const double *t_s, const double *degc, size_t n)
{
    struct step step = {t_s, degc, n};
    struct curvefit fit;
    if (n < LEAST_STEP)
        return measure_unknown("fewer than %d readings of the step", LEAST_STEP);
    double lasted_s = t_s[n - 1] - t_s[0], jump = degc[0] - degc[n - 1];
    const double start[3] = {degc[n - 1], jump, log(lasted_s / 4)};
    struct curvefit_task task = {.residuals = residuals, .context = &step, .n = n, .p = 3};
    if (!(fabs(jump) > 0) || curvefit(&task, start, TURNS, &fit) != ANSWER_OK || !isfinite(fit.u[2]))
        return measure_unknown("the readings show no step that dies away");
    double tau_s = exp(fit.parameters[2]);
    if (lasted_s < 2 * tau_s)
        return measure_unknown("the step was watched for less than two of its constants of %.3g s", tau_s);
    struct measure m = measure_of(tau_s);
    measure_part(&m, (struct part){.cause = CAUSE_FIT, .shape = SHAPE_T, .u = tau_s * fit.u[2], .dof = fit.dof,
                                   .what = "fit of the step", .remedy = "watch it longer, from a larger step"});
    budget_close(&m);
    return m;
}

/* Readings around the instant, by their distance from it; at most MOST_LINE. */
struct around {
    double dt_s[MOST_LINE], degc[MOST_LINE];
    size_t n;
};

static void gather(const double *t_s, const double *degc, size_t n, double at_s, double half_width_s,
                   struct around *around)
{
    size_t within = 0;
    for (size_t k = 0; k < n; k++)
        within += fabs(t_s[k] - at_s) <= half_width_s && isfinite(degc[k]);
    size_t stride = within / MOST_LINE + 1, seen = 0;
    around->n = 0;
    for (size_t k = 0; k < n; k++) {
        if (!(fabs(t_s[k] - at_s) <= half_width_s) || !isfinite(degc[k]) || seen++ % stride != 0)
            continue;
        around->dt_s[around->n] = t_s[k] - at_s;
        around->degc[around->n++] = degc[k];
    }
}

/* How far the line through the nearer half lies from that through all, at the instant. */
static double bend(const struct around *around, double half_width_s, const struct linefit *line)
{
    struct around near = {.n = 0};
    struct linefit inner;
    for (size_t k = 0; k < around->n; k++) {
        if (fabs(around->dt_s[k]) <= half_width_s / 2) {
            near.dt_s[near.n] = around->dt_s[k];
            near.degc[near.n++] = around->degc[k];
        }
    }
    if (near.n < 3 || linefit(near.dt_s, near.degc, NULL, near.n, &inner) != ANSWER_OK)
        return 0;
    return fabs(inner.intercept - line->intercept);
}

struct measure probe_lag_place(const double *t_s, const double *degc, size_t n, double at_s, double half_width_s,
                               const struct measure *tau_s, double tau_most_s)
{
    struct around around;
    struct linefit line;
    gather(t_s, degc, n, at_s, half_width_s, &around);
    if (around.n < LEAST_LINE || linefit(around.dt_s, around.degc, NULL, around.n, &line) != ANSWER_OK)
        return measure_unknown("fewer than %d temperatures within %.3g s of the instant", LEAST_LINE, half_width_s);
    bool known = measure_known(tau_s);
    double tau = known ? tau_s->value : tau_most_s / 2;
    double u_tau = known ? tau_s->u : tau_most_s / 2 / sqrt(3);
    struct measure m = measure_of(line.intercept + tau * line.slope);
    double u_line = sqrt(line.u_intercept * line.u_intercept + tau * tau * line.u_slope * line.u_slope +
                         2 * tau * line.covariance);
    measure_part(&m, (struct part){.cause = CAUSE_NOISE, .shape = SHAPE_T, .u = u_line, .dof = line.dof,
                                   .what = "readings around the instant", .remedy = "read more often"});
    measure_part(&m, (struct part){.cause = CAUSE_CONDITIONS, .shape = known ? SHAPE_NORMAL : SHAPE_RECTANGULAR,
                                   .u = line.slope * u_tau, .dof = known ? tau_s->dof : INFINITY, .source = PROBE_LAG_SOURCE,
                                   .what = "lag of the probe",
                                   .remedy = "heat or chill more slowly, or measure the probe's lag"});
    measure_part(&m, (struct part){.cause = CAUSE_FIT, .shape = SHAPE_RECTANGULAR,
                                   .u = bend(&around, half_width_s, &line) / sqrt(3), .dof = INFINITY,
                                   .what = "bend of the temperature", .remedy = "read more often"});
    budget_close(&m);
    return m;
}
