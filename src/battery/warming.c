#include "battery/warming.h"

#include "base/number.h"
#include "battery/watched.h"
#include "numeric/budget.h"
#include "numeric/curvefit.h"

#include <math.h>

enum { TURNS = 60, LATER_LEAST = 6 };

struct points {
    double t_s[WARMING_POINTS], degc[WARMING_POINTS];
    double weight[WARMING_POINTS]; /* root of how many readings it is the mean of */
    size_t count;
};

static void gather(const double *t_s, const double *degc, size_t n, struct points *points)
{
    double step_s = (t_s[n - 1] - t_s[0]) / WARMING_POINTS, sum_t = 0, sum = 0;
    size_t in = 0, slot = 0;
    points->count = 0;
    for (size_t k = 0; k <= n; k++) {
        size_t own = k == n ? SIZE_MAX : (size_t)fmin((t_s[k] - t_s[0]) / step_s, WARMING_POINTS - 1);
        if (own != slot && in > 0) {
            points->t_s[points->count] = sum_t / (double)in;
            points->degc[points->count] = sum / (double)in;
            points->weight[points->count++] = sqrt((double)in);
            sum_t = sum = 0;
            in = 0;
        }
        slot = own;
        if (k < n && isfinite(degc[k])) {
            sum_t += t_s[k] - t_s[0];
            sum += degc[k];
            in++;
        }
    }
}

/* Parameters: T∞, T₀ − T∞, ln τ. */
static void residuals(const double *p, const void *context, double *ret_residuals)
{
    const struct points *points = context;
    double tau_s = exp(p[2]);
    for (size_t k = 0; k < points->count; k++)
        ret_residuals[k] = points->weight[k] * (p[0] + p[1] * exp(-points->t_s[k] / tau_s) - points->degc[k]);
}

static void derivatives(const double *p, const void *context, double *ret_derivatives)
{
    const struct points *points = context;
    double tau_s = exp(p[2]);
    for (size_t k = 0; k < points->count; k++) {
        double left = exp(-points->t_s[k] / tau_s), *row = ret_derivatives + 3 * k;
        row[0] = points->weight[k];
        row[1] = points->weight[k] * left;
        row[2] = points->weight[k] * p[1] * left * points->t_s[k] / tau_s;
    }
}

static bool fit_points(const struct points *points, struct curvefit *ret_fit)
{
    double last_s = points->t_s[points->count - 1], last = points->degc[points->count - 1];
    const double start[3] = {last, points->degc[0] - last, log(last_s / 3)};
    struct curvefit_task task = {.residuals = residuals, .derivatives = derivatives, .context = points, .n = points->count,
                                 .p = 3};
    return curvefit(&task, start, TURNS, ret_fit) == ANSWER_OK && isfinite(ret_fit->u[0]) && isfinite(ret_fit->u[2]);
}

/* What the later half says of the final temperature, which the beginning cannot bend. With its own constant that half
 * would say little; it keeps the one found. */
static double later_degc(const struct points *points, const struct curvefit *fit)
{
    double tau_s = exp(fit->parameters[2]), half_s = points->t_s[points->count - 1] / 2;
    double s = 0, sx = 0, sy = 0, sxx = 0, sxy = 0;
    size_t n = 0;
    for (size_t k = 0; k < points->count; k++) {
        if (points->t_s[k] < half_s)
            continue;
        double w = points->weight[k] * points->weight[k], x = exp(-points->t_s[k] / tau_s), y = points->degc[k];
        s += w, sx += w * x, sy += w * y, sxx += w * x * x, sxy += w * x * y;
        n++;
    }
    double determinant = s * sxx - sx * sx;
    return n >= LATER_LEAST && determinant > 0 ? (sxx * sy - sx * sxy) / determinant : fit->parameters[0];
}

/* The constant that the first half tells alone: another one where the heat does not stay; `otherwise` where it tells none.
 * Heat that changes at a steady rate bends that of the half some six tenths as much as that of the whole. */
static double half_tau_s(const struct points *points, double otherwise)
{
    struct points half = *points;
    struct curvefit fit;
    half.count = points->count / 2;
    return half.count >= WARMING_LEAST && fit_points(&half, &fit) && fit.u[2] <= 0.5 ? exp(fit.parameters[2]) : otherwise;
}

static void take_fit(const struct points *points, const struct curvefit *fit, struct warming *w)
{
    double tau_s = exp(fit->parameters[2]), last_s = points->t_s[points->count - 1];
    w->lasted = last_s / tau_s;
    w->tau_s = measure_of(tau_s);
    measure_part(&w->tau_s, (struct part){.cause = CAUSE_FIT, .shape = SHAPE_T, .u = tau_s * fit->u[2], .dof = fit->dof,
                                          .what = "fit of the warming", .remedy = "hold the current longer"});
    measure_part(&w->tau_s, (struct part){.cause = CAUSE_CONDITIONS, .shape = SHAPE_RECTANGULAR,
                                          .u = 3 * fabs(half_tau_s(points, tau_s) - tau_s) / sqrt(3), .dof = INFINITY,
                                          .what = "heat and cooling that changed meanwhile", .remedy = "hold the current longer"});
    if (w->lasted < WARMING_CONSTANTS) {
        w->final_degc = measure_unknown("held for %.2g of the constant of %.3g min found: two of them take %.3g min more", w->lasted,
                                        tau_s / 60, (WARMING_CONSTANTS * tau_s - last_s) / 60);
        return;
    }
    w->final_degc = measure_of(fit->parameters[0]);
    double doubt = fabs(later_degc(points, fit) - w->final_degc.value);
    measure_part(&w->final_degc, (struct part){.cause = CAUSE_FIT, .shape = SHAPE_T, .u = fit->u[0], .dof = fit->dof,
                                               .what = "fit of the warming", .remedy = "hold the current longer"});
    measure_part(&w->final_degc, (struct part){.cause = CAUSE_CONDITIONS, .shape = SHAPE_RECTANGULAR, .u = doubt / sqrt(3),
                                               .dof = INFINITY, .what = "heat and cooling that changed meanwhile",
                                               .remedy = "hold the current longer"});
    struct measure fitted = w->final_degc;
    budget_close(&fitted);
    w->equilibrium = fmax(fabs(fitted.lo - w->to_degc), fabs(fitted.hi - w->to_degc)) <= WARMING_SETTLED_K;
}

void warming_fit(const double *t_s, const double *degc, size_t n, struct warming *ret_warming)
{
    struct points points = {0};
    struct curvefit fit;
    struct warming w = {.from_degc = NAN, .to_degc = NAN, .lasted = NAN};
    w.final_degc = w.tau_s = measure_unknown("fewer than %d temperatures were read", WARMING_LEAST);
    if (n > 1 && t_s[n - 1] > t_s[0])
        gather(t_s, degc, n, &points);
    if (points.count >= WARMING_LEAST) {
        w.from_degc = points.degc[0];
        w.to_degc = points.degc[points.count - 1];
        double moved = fabs(w.to_degc - w.from_degc);
        if (moved < WARMING_LEAST_K)
            w.final_degc = w.tau_s = measure_unknown("the temperature moved by %.2g K only", moved);
        else if (!fit_points(&points, &fit) || fit.u[2] > 0.5)
            w.final_degc = w.tau_s = measure_unknown("over %.3g min the temperature does not bend as of one lump of heat: a longer hold "
                                                     "would tell", points.t_s[points.count - 1] / 60);
        else
            take_fit(&points, &fit, &w);
    }
    *ret_warming = w;
}

static void say(const struct warming *w, char *words, size_t size)
{
    char final[48], tau[48];
    if (!measure_known(&w->final_degc)) {
        snprintf(words, size, "from %.3g to %.3g °C; where it would have ended: cannot tell, %s", w->from_degc, w->to_degc,
                 w->final_degc.why);
        return;
    }
    measure_print(&w->final_degc, "°C", final, sizeof final);
    struct measure tau_min = measure_scale(&w->tau_s, 1 / 60.0);
    budget_close(&tau_min);
    measure_print(&tau_min, "min", tau, sizeof tau);
    snprintf(words, size, "%s %s, by a constant of %s; %.3g °C at its end", w->equilibrium ? "in thermal equilibrium:" : "on its way to",
             final, tau, w->to_degc);
}

/* Somebody heated or chilled something then: that is no warming by the current. */
static bool treated(const struct watched *watched, const struct hold *hold)
{
    const struct findings *f = watched->findings;
    for (size_t k = 0; k < f->trip_count; k++)
        if (f->trips[k].run == hold->run && (f->trips[k].way == TRIP_COLD || f->trips[k].way == TRIP_HOT))
            return true;
    for (size_t k = 0; k < watched->told_count; k++) {
        double before_s = hold->from_s - watched->told[k].t_s;
        if (before_s < HEARD_BEFORE_S && before_s > -hold->held_s.value && treatment_of(watched->told[k].words).way != TRIP_UNKNOWN)
            return true;
    }
    return false;
}

size_t warming_find(const struct watched *watched, struct warming ret_warming[static WARMINGS])
{
    const struct findings *f = watched->findings;
    size_t count = 0;
    for (size_t k = 0; k < f->hold_count && count < WARMINGS && watched->degc != NULL && watched->timed; k++) {
        const struct hold *hold = &f->holds[k];
        size_t first, n;
        if (!measure_known(&hold->held_s) || treated(watched, hold) || !watched_rows(watched, hold->from_s, hold->from_s + hold->held_s.value, &first, &n))
            continue;
        struct warming *w = &ret_warming[count];
        warming_fit(watched->t_s + first, watched->degc + first, n, w);
        if (isnan(w->from_degc))
            continue;
        count++;
        w->hold = k;
        budget_close(&w->tau_s);
        if (measure_known(&w->final_degc)) {
            watched_add_degc(watched, w->final_degc.value, 0, &w->final_degc);
            budget_close(&w->final_degc);
        }
        say(w, w->words, sizeof w->words);
    }
    return count;
}
