#include "battery/settle.h"

#include "numeric/budget.h"
#include "numeric/curvefit.h"
#include "numeric/linefit.h"

#include <math.h>
#include <string.h>

enum { LEAST_POINTS = 8, TURNS = 200 };
static const double least_s = 10, milli = 1e-3;
static const double creeps_told = 1e-3; /* of the volts: what still creeps by less is doubt, by more is not settled */

struct points {
    double t_s[SETTLE_POINTS], v[SETTLE_POINTS];
    double weight[SETTLE_POINTS]; /* root of how many readings it is the mean of */
    size_t count;
    int terms;
    bool creeps; /* a straight line beside the terms: one more parameter, V over the whole rest */
};

static void close_point(struct points *points, double sum_t, double sum_v, size_t in)
{
    if (in == 0 || points->count == SETTLE_POINTS)
        return;
    points->t_s[points->count] = sum_t / (double)in;
    points->v[points->count] = sum_v / (double)in;
    points->weight[points->count++] = sqrt((double)in);
}

/* Means over stretches that grow with t, so that the first minute counts as much as the last hour. */
static void gather(const double *t_s, const double *v, size_t n, struct points *points)
{
    double last_s = 0, first_s = INFINITY;
    for (size_t k = 0; k < n; k++) {
        if (isfinite(v[k]) && t_s[k] >= 0) {
            last_s = fmax(last_s, t_s[k]);
            first_s = t_s[k] > 0 ? fmin(first_s, t_s[k]) : first_s;
        }
    }
    double step = log1p(last_s / first_s) / SETTLE_POINTS, sum_t = 0, sum_v = 0;
    size_t in = 0, slot = 0;
    for (size_t k = 0; k < n; k++) {
        if (!isfinite(v[k]) || !(t_s[k] >= 0))
            continue;
        size_t own = (size_t)fmin(log1p(t_s[k] / first_s) / step, SETTLE_POINTS - 1);
        if (own != slot) {
            close_point(points, sum_t, sum_v, in);
            sum_t = sum_v = 0;
            in = 0;
        }
        slot = own;
        sum_t += t_s[k];
        sum_v += v[k];
        in++;
    }
    close_point(points, sum_t, sum_v, in);
}

static size_t parameters_of(const struct points *points)
{
    return 1 + 2 * (size_t)points->terms + points->creeps;
}

/* Parameters: V∞, then amplitude and logarithm of the constant of each term, then what creeps. */
static void residuals(const double *p, const void *context, double *ret_residuals)
{
    const struct points *points = context;
    const bool two = points->terms == 2;
    double tau_s[2] = {exp(p[2]), two ? exp(p[4]) : NAN};
    for (size_t k = 0; k < points->count; k++) {
        double v = p[0];
        for (int j = 0; j <= two; j++)
            v += p[1 + 2 * j] * exp(-points->t_s[k] / tau_s[j]);
        if (points->creeps)
            v += p[1 + 2 * points->terms] * points->t_s[k] / points->t_s[points->count - 1];
        ret_residuals[k] = points->weight[k] * (v - points->v[k]) / milli; /* of the order of one */
    }
}

static void derivatives(const double *p, const void *context, double *ret_derivatives)
{
    const struct points *points = context;
    const bool two = points->terms == 2;
    double tau_s[2] = {exp(p[2]), two ? exp(p[4]) : NAN};
    for (size_t k = 0; k < points->count; k++) {
        double *row = ret_derivatives + k * parameters_of(points), weight = points->weight[k] / milli;
        row[0] = weight;
        if (points->creeps)
            row[1 + 2 * points->terms] = weight * points->t_s[k] / points->t_s[points->count - 1];
        for (int j = 0; j <= two; j++) {
            double left = exp(-points->t_s[k] / tau_s[j]);
            row[1 + 2 * j] = weight * left;
            row[2 + 2 * j] = left > 0 ? weight * p[1 + 2 * j] * left * points->t_s[k] / tau_s[j] : 0;
        }
    }
}

static bool fit_terms(struct points *points, int terms, struct curvefit *ret_fit)
{
    double last_s = points->t_s[points->count - 1], rise = points->v[0] - points->v[points->count - 1];
    double start[5] = {points->v[points->count - 1], rise, log(last_s / 5), rise / 2, log(last_s / 3)};
    if (terms == 2) {
        start[1] = rise / 2;
        start[2] = log(last_s / 40);
    }
    points->terms = terms;
    struct curvefit_task task = {.residuals = residuals, .derivatives = derivatives, .context = points, .n = points->count,
                                 .p = parameters_of(points)};
    return curvefit(&task, start, TURNS, ret_fit) == ANSWER_OK && isfinite(ret_fit->u[0]);
}

/* How the volts creep behind the terms that were found. */
struct creep {
    bool known;
    double v_per_s, u;
};

static struct creep fit_creep(const struct points *points, const struct curvefit *fit, int terms)
{
    struct points creeping = *points;
    struct curvefit with;
    double start[CURVEFIT_PARAMETERS] = {0}, last_s = points->t_s[points->count - 1];
    creeping.terms = terms;
    size_t own = parameters_of(&creeping);
    memcpy(start, fit->parameters, own * sizeof *start);
    creeping.creeps = true;
    struct curvefit_task task = {.residuals = residuals, .derivatives = derivatives, .context = &creeping,
                                 .n = points->count, .p = own + 1};
    if (curvefit(&task, start, TURNS, &with) != ANSWER_OK || !isfinite(with.u[own]))
        return (struct creep){.known = false};
    return (struct creep){true, with.parameters[own] / last_s, with.u[own] / last_s};
}

/* How long what creeps, told or not, may go on. */
static double goes_on_s(double lasted_s)
{
    return fmax(lasted_s, SETTLE_CREEPS_S);
}

static double criterion(const struct curvefit *fit, size_t n, int terms)
{
    return (double)n * log(fit->chi2 / (double)n) + (1 + 2 * terms) * log((double)n);
}

/* The better of one term and two; 0 when neither can be fitted. */
static int fit_best(struct points *points, struct curvefit *ret_fit)
{
    struct curvefit one, two;
    bool has_one = fit_terms(points, 1, &one), has_two = points->count >= 12 && fit_terms(points, 2, &two);
    /* Two terms that say the same, or one beyond the rest itself, are no two terms. */
    double last = log(points->t_s[points->count - 1]);
    if (has_two && (fabs(two.parameters[2] - two.parameters[4]) < 0.5 || fmax(two.parameters[2], two.parameters[4]) > last + 3))
        has_two = false;
    if (has_two && (!has_one || criterion(&two, points->count, 2) < criterion(&one, points->count, 1))) {
        *ret_fit = two;
        return 2;
    }
    if (has_one)
        *ret_fit = one;
    return has_one ? 1 : 0;
}

/* Whether neighbours lie closer together than points do about their mean: their mean square difference is twice the
 * variance for noise alone, with a spread of 2/√n (von Neumann 1941, Ann. Math. Statist. 12, 367; from memory). */
static bool wanders(const struct points *points, double chi2)
{
    double sum = 0, n = (double)points->count;
    for (size_t k = 1; k < points->count; k++) {
        double w2 = 1 / (1 / pow(points->weight[k], 2) + 1 / pow(points->weight[k - 1], 2));
        sum += 2 * w2 * pow(points->v[k] - points->v[k - 1], 2);
    }
    return sum / chi2 < 2 - 3 * 2 / sqrt(n);
}

/* What points say that do not move: their mean, what is left about it, and the line through them, whose doubt is by
 * their own scatter. */
struct mean {
    double v, chi2, weight;
    double slope_v_per_s, slope_u;
};

static struct mean mean_of(const struct points *points)
{
    struct mean mean = {.slope_v_per_s = NAN, .slope_u = NAN};
    struct linefit line;
    double u[SETTLE_POINTS];
    for (size_t k = 0; k < points->count; k++) {
        u[k] = 1 / points->weight[k];
        double weight = points->weight[k] * points->weight[k];
        mean.weight += weight;
        mean.v += weight * (points->v[k] - mean.v) / mean.weight;
    }
    for (size_t k = 0; k < points->count; k++)
        mean.chi2 += pow(points->weight[k] * (points->v[k] - mean.v), 2);
    if (linefit(points->t_s, points->v, u, points->count, &line) == ANSWER_OK) {
        mean.slope_v_per_s = line.slope;
        mean.slope_u = line.u_slope * line.residual_sd;
    }
    return mean;
}

static bool level(const struct mean *mean)
{
    return fabs(mean->slope_v_per_s) <= 3 * mean->slope_u;
}

/* Nothing but rounding, or noise. */
static bool still(const struct points *points, const struct mean *mean)
{
    return mean->chi2 <= pow(1e-9 * mean->v, 2) * (double)points->count || (level(mean) && !wanders(points, mean->chi2));
}

/* Whether the terms explain too little of what the mean leaves to be worth their parameters. */
static bool needless(const struct curvefit *fit, int terms, const struct mean *mean, size_t count)
{
    double n = (double)count;
    return terms > 0 && level(mean) && n * log(mean->chi2 / milli / milli / n) + log(n) <= criterion(fit, count, terms);
}

static void at_rest(const struct mean *mean, size_t count, struct settling *s)
{
    double dof = (double)count - 1;
    s->terms = 0;
    s->residual_v = sqrt(mean->chi2 / mean->weight);
    s->wait_s = 0;
    s->settled_v = measure_of(mean->v);
    measure_part(&s->settled_v, (struct part){.cause = CAUSE_FIT, .shape = SHAPE_T, .u = sqrt(mean->chi2 / dof / mean->weight),
                                              .dof = dof, .what = "scatter at rest", .remedy = ""});
    double creeps_v = (fabs(mean->slope_v_per_s) + 2 * mean->slope_u) * goes_on_s(s->lasted_s);
    measure_part(&s->settled_v, (struct part){.cause = CAUSE_CONDITIONS, .shape = SHAPE_RECTANGULAR, .u = creeps_v / sqrt(3),
                                              .dof = INFINITY, .what = "what creeps too slowly for so short a rest",
                                              .remedy = "let it rest longer"});
}

static void keep_terms(const struct curvefit *fit, struct settling *s)
{
    bool swap = s->terms == 2 && fit->parameters[2] > fit->parameters[4];
    for (int j = 0; j < s->terms; j++) {
        int from = swap ? 1 - j : j;
        s->a_v[j] = fit->parameters[1 + 2 * from];
        s->tau_s[j] = exp(fit->parameters[2 + 2 * from]);
        s->tau_u_s[j] = s->tau_s[j] * fit->u[2 + 2 * from];
    }
}

/* What the later three quarters say, which the fast beginning cannot bend; false where they say nothing. */
static bool fit_later(const struct points *points, struct curvefit *ret_fit)
{
    struct points later = {0};
    double from_s = 0.25 * points->t_s[points->count - 1];
    for (size_t k = 0; k < points->count; k++) {
        if (points->t_s[k] >= from_s) {
            later.t_s[later.count] = points->t_s[k];
            later.weight[later.count] = points->weight[k];
            later.v[later.count++] = points->v[k];
        }
    }
    return later.count >= LEAST_POINTS && fit_terms(&later, 1, ret_fit);
}

/* The constant of the tail, when it is told from that of the whole: a tail of diffusion is slower. Else the longest of the whole. */
static double tail_tau_s(const struct settling *s, const struct curvefit *later)
{
    double whole_s = s->tau_s[s->terms - 1], tail_s = exp(later->parameters[2]);
    bool told = later->u[2] <= 0.5 && tail_s - whole_s > 2 * hypot(tail_s * later->u[2], s->tau_u_s[s->terms - 1]);
    return told ? tail_s : whole_s;
}

static struct measure settled(const struct curvefit *fit, double later_v, double creeps_v)
{
    struct measure m = measure_of(fit->parameters[0]);
    double doubt = fmax(fabs(later_v - m.value), creeps_v);
    measure_part(&m, (struct part){.cause = CAUSE_FIT, .shape = SHAPE_T, .u = fit->u[0], .dof = fit->dof,
                                   .what = "fit of the settling", .remedy = "let it rest longer"});
    measure_part(&m, (struct part){.cause = CAUSE_CONDITIONS, .shape = SHAPE_RECTANGULAR, .u = doubt / sqrt(3), .dof = INFINITY,
                                   .what = "settling is no sum of exponentials", .remedy = "let it rest longer"});
    return m;
}

/* Whether the rest was too short for what it shows; then wait_s and the reason are filled in. */
static bool too_short(const struct creep *creep, double slowest_s, struct settling *s)
{
    double on_s = goes_on_s(s->lasted_s), creeps = fabs(creep->v_per_s);
    s->wait_s = fmax(SETTLE_CONSTANTS * slowest_s - s->lasted_s, 0);
    if (s->wait_s > 0) {
        s->settled_v = measure_unknown("the rest lasted %.3g min, and settles with a constant of %.3g min: three of them "
                                       "take %.3g min more", s->lasted_s / 60, slowest_s / 60, s->wait_s / 60);
    } else if (!creep->known && s->lasted_s < SETTLE_CREEPS_S) { /* longer rests tell it by their later part */
        s->wait_s = NAN;
        s->settled_v = measure_unknown("whether the volts creep on behind a constant of %.3g min cannot be told", slowest_s / 60);
    } else if (on_s > s->lasted_s && creeps > 3 * creep->u && creeps * on_s > creeps_told * fabs(s->last_v)) {
        s->wait_s = on_s - s->lasted_s;
        s->settled_v = measure_unknown("the rest lasted %.3g min, and behind a constant of %.3g min the volts creep on by "
                                       "%.2g mV an hour: %.3g min more may show where to", s->lasted_s / 60, slowest_s / 60,
                                       creeps * 3600 / milli, s->wait_s / 60);
    } else
        return false;
    return true;
}

static void conclude(const struct points *points, const struct curvefit *fit, struct settling *s)
{
    struct curvefit later;
    bool has_later = fit_later(points, &later);
    struct creep creep = fit_creep(points, fit, s->terms);
    keep_terms(fit, s);
    if (!too_short(&creep, has_later ? tail_tau_s(s, &later) : s->tau_s[s->terms - 1], s))
        s->settled_v = settled(fit, has_later ? later.parameters[0] : points->v[points->count - 1],
                               (fabs(creep.v_per_s) + 2 * creep.u) * goes_on_s(s->lasted_s));
}

static void fit_rest(struct points *points, size_t n, struct settling *s)
{
    struct mean mean = mean_of(points);
    struct curvefit fit = {0};
    bool moves = !still(points, &mean);
    s->lasted_s = points->t_s[points->count - 1];
    s->last_v = points->v[points->count - 1];
    s->settled_v = measure_unknown("the volts do not settle along an exponential");
    s->terms = moves ? fit_best(points, &fit) : 0;
    if (!moves || needless(&fit, s->terms, &mean, points->count)) {
        at_rest(&mean, points->count, s);
        return;
    }
    if (s->terms == 0)
        return;
    s->residual_v = milli * sqrt(fit.chi2 / (double)n);
    conclude(points, &fit, s);
}

void settle_find(const double *t_s, const double *v, size_t n, struct settling *ret_settling)
{
    struct points points = {0};
    struct settling s = {.wait_s = NAN, .last_v = NAN, .residual_v = NAN};
    gather(t_s, v, n, &points);
    if (points.count >= LEAST_POINTS && points.t_s[points.count - 1] >= least_s)
        fit_rest(&points, n, &s);
    else
        s.settled_v = measure_unknown("fewer than %d readings of the rest, or less than %.0f s", LEAST_POINTS, least_s);
    *ret_settling = s;
}
