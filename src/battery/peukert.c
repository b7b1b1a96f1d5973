#include "battery/peukert.h"

#include "numeric/budget.h"
#include "numeric/linefit.h"

enum { POINTS_MOST = 64 };

static bool samples_differ(const struct rate_point *points, int count)
{
    for (int k = 1; k < count; k++)
        if (points[k].sample != points[0].sample)
            return true;
    return false;
}

static double degc_spread(const struct rate_point *points, int count)
{
    double lo = INFINITY, hi = -INFINITY;
    for (int k = 0; k < count; k++) {
        lo = fmin(lo, points[k].degc); /* fmin passes NaN by */
        hi = fmax(hi, points[k].degc);
    }
    return hi - lo;
}

static bool alike(const struct rate_point *a, const struct rate_point *b)
{
    return fabs(a->mean_a / b->mean_a - 1) <= CURRENT_ALIKE;
}

/* Relative difference of the pair of runs at one current that differs most beyond its uncertainty; 0 when
 * none does. *ret_repeated: whether any current was repeated at all. */
static double unrepeatable(const struct rate_point *points, int count, double *ret_at_a, bool *ret_repeated)
{
    double worst = 0;
    *ret_repeated = false;
    for (int k = 0; k < count; k++) {
        for (int j = 0; j < k; j++) {
            if (!alike(&points[k], &points[j]))
                continue;
            *ret_repeated = true;
            double apart = fabs(points[k].charge_ah / points[j].charge_ah - 1);
            double u = hypot(points[k].u_charge_ah, points[j].u_charge_ah) / points[j].charge_ah;
            if (apart > 2 * u && apart > worst) {
                worst = apart;
                *ret_at_a = points[k].mean_a;
            }
        }
    }
    return worst;
}

/* The current never changed its direction of change from run to run. */
static bool one_way(const struct rate_point *points, int count)
{
    bool falls = true, rises = true;
    for (int k = 0; k < count; k++) {
        if (isnan(points[k].order))
            return false;
        for (int j = 0; j < count; j++) {
            if (points[j].order <= points[k].order || alike(&points[j], &points[k]))
                continue;
            falls = falls && points[j].mean_a < points[k].mean_a;
            rises = rises && points[j].mean_a > points[k].mean_a;
        }
    }
    return falls || rises;
}

static bool confounded(const struct rate_point *points, int count, struct peukert *peukert)
{
    char *words = peukert->words;
    const size_t size = sizeof peukert->words;
    double spread = degc_spread(points, count), at_a = NAN;
    bool repeated;
    double apart = unrepeatable(points, count, &at_a, &repeated);
    if (samples_differ(points, count))
        snprintf(words, size, "the runs are of different samples");
    else if (spread > DEGC_APART)
        snprintf(words, size,
                 "the runs' mean temperatures lie %.1f K apart, and temperature changes capacity too",
                 spread);
    else if (apart > 0)
        snprintf(
            words, size,
            "two runs at %.3g A differ by %.1f %%: the sample changed from run to run by as much as a rate would",
            at_a, apart * 100);
    else if (count > 2 && one_way(points, count) && !repeated)
        snprintf(words, size,
                 "the current went one way from run to run: ageing would look the same. Repeat the first "
                 "current at the end");
    else
        return false;
    return true;
}

/* What the charges' own uncertainty makes of the slope. */
static double slope_u(const struct rate_point *points, const double *x, int count)
{
    double mean = 0, square = 0, sum = 0;
    for (int k = 0; k < count; k++)
        mean += x[k] / count;
    for (int k = 0; k < count; k++)
        square += (x[k] - mean) * (x[k] - mean);
    for (int k = 0; k < count; k++)
        sum += pow((x[k] - mean) * points[k].u_charge_ah / points[k].charge_ah, 2);
    return sqrt(sum) / square;
}

static void refuse(struct peukert *peukert, const char *why)
{
    peukert->exponent = measure_unknown("%.180s", why);
    peukert->capacity_at_1a_ah = NAN;
}

static void fit_exponent(const struct rate_point *points, int count, struct peukert *peukert)
{
    double x[POINTS_MOST], y[POINTS_MOST];
    for (int k = 0; k < count; k++) {
        x[k] = log(points[k].mean_a);
        y[k] = log(points[k].duration_s / 3600);
    }
    struct linefit fit;
    enum answer answer = linefit(x, y, NULL, (size_t)count, &fit);
    if (answer != ANSWER_OK) {
        snprintf(peukert->words, sizeof peukert->words, "%s", answer_reason(answer));
        refuse(peukert, peukert->words);
        return;
    }
    peukert->exponent = measure_of(-fit.slope);
    peukert->capacity_at_1a_ah = exp(fit.intercept);
    if (count == 2) {
        peukert->exponent.u = peukert->exponent.dof = NAN;
        snprintf(
            peukert->words, sizeof peukert->words,
            "%.3f, the bare quotient of two runs: it has no uncertainty, and a third run may say otherwise",
            -fit.slope);
        return;
    }
    /* The scatter about the line holds the charges' own uncertainty; a lucky fit must not hide it. */
    double own = slope_u(points, x, count);
    struct part scatter = {CAUSE_FIT,  SHAPE_T, fit.u_slope, fit.dof, 0, "scatter about Peukert's law",
                           "more runs"};
    struct part measured = {CAUSE_NOISE, SHAPE_NORMAL, own, INFINITY, 0, "uncertainty of the charges", ""};
    measure_part(&peukert->exponent, fit.u_slope > own ? scatter : measured);
    budget_close(&peukert->exponent);
    snprintf(peukert->words, sizeof peukert->words, "%.3f (%.3f to %.3f) from %d runs%s", -fit.slope,
             peukert->exponent.lo, peukert->exponent.hi, count,
             isfinite(degc_spread(points, count)) ? "" : "; their temperatures were not recorded");
    if (peukert->exponent.hi < 1) {
        peukert->confounded = true;
        snprintf(peukert->words, sizeof peukert->words,
                 "the capacity rises with the current, which the rate alone does not do: something else "
                 "changed from run to run");
        refuse(peukert, peukert->words);
    }
}

static bool one_current(const struct rate_point *points, int count)
{
    for (int k = 1; k < count; k++)
        if (!alike(&points[k], &points[0]))
            return false;
    return true;
}

struct peukert peukert_fit(const struct rate_point *points, int count)
{
    struct peukert peukert = {.points = count, .capacity_at_1a_ah = NAN};
    if (count > POINTS_MOST)
        count = POINTS_MOST;
    if (one_current(points, count)) {
        snprintf(peukert.words, sizeof peukert.words,
                 "an exponent needs complete discharges at two currents or more");
        refuse(&peukert, peukert.words);
        return peukert;
    }
    peukert.confounded = confounded(points, count, &peukert);
    if (peukert.confounded)
        refuse(&peukert, peukert.words);
    else
        fit_exponent(points, count, &peukert);
    return peukert;
}
