#include "battery/load_law.h"

#include "numeric/budget.h"
#include "numeric/linefit.h"
#include "numeric/stats.h"

enum { GROUPS = 40, GROUPS_MOST = 2000, GROUP_READINGS = 2 };

/* Logarithms of the means of groups, about the mean of their phase. */
struct points {
    double x[GROUPS_MOST], y[GROUPS_MOST]; /* ln V, ln I */
    size_t count, phases;
    double readings; /* mean, a group */
    double range;    /* of ln V within a phase, the largest */
    const struct phase *longest;
};

static void add_phase(const struct basis *basis, const struct phase *phase, struct points *points)
{
    size_t readings = phase->last - phase->first + 1;
    size_t groups = readings / GROUP_READINGS < GROUPS ? readings / GROUP_READINGS : GROUPS;
    if (groups < 3 || points->count + groups > GROUPS_MOST)
        return;
    double *x = points->x + points->count, *y = points->y + points->count;
    double mean_x = 0, mean_y = 0, lo = INFINITY, hi = -INFINITY;
    for (size_t k = 0; k < groups; k++) {
        size_t first = phase->first + readings * k / groups,
               next = phase->first + readings * (k + 1) / groups;
        struct sums sums = ledger_sums(basis->ledger, first, next - 1);
        double v = sums.volt_s / sums.duration_s, a = sums.charge_c / sums.duration_s;
        if (!(sums.duration_s > 0 && v > 0 && a > 0))
            return; /* nothing to take a logarithm of */
        x[k] = log(v);
        y[k] = log(a);
        mean_x += x[k] / (double)groups;
        mean_y += y[k] / (double)groups;
        lo = fmin(lo, x[k]);
        hi = fmax(hi, x[k]);
    }
    for (size_t k = 0; k < groups; k++) {
        x[k] -= mean_x;
        y[k] -= mean_y;
    }
    points->readings += (double)readings;
    points->range = fmax(points->range, hi - lo);
    points->count += groups;
    points->phases++;
    const struct phase *longest = points->longest;
    if (longest == NULL || phase->end_s - phase->start_s > longest->end_s - longest->start_s)
        points->longest = phase;
}

static double sum_of_squares(const double *x, size_t n)
{
    double sum = 0;
    for (size_t k = 0; k < n; k++)
        sum += x[k] * x[k];
    return sum;
}

/* Where n lies, in words that go on after "the load". */
static const char *between(double n)
{
    return n < -1.5   ? "drew current that rose faster than constant power asks"
           : n < -0.5 ? "lies between constant power and constant current"
           : n < 0.5  ? "lies between constant current and constant resistance"
                      : "drew current that fell faster than constant resistance asks";
}

static void name_law(struct load_finding *load, double volts, double amps)
{
    const struct measure *n = &load->exponent;
    double u = n->hi - n->value, shown = fabs(n->value) < 0.005 ? 0 : n->value; /* never "-0.00" */
    static const char *const names[] = {"kept its power", "kept its current", "kept its resistance"};
    static const enum load_law laws[] = {LOAD_POWER, LOAD_CURRENT, LOAD_RESISTANCE};
    load->law = LOAD_UNKNOWN;
    load->level = NAN;
    for (int k = 0; k < 3; k++)
        if (fabs(n->value - (k - 1)) + u < 0.5)
            load->law = laws[k], load->level = k == 0 ? volts * amps : k == 1 ? amps : volts / amps;
    if (load->law != LOAD_UNKNOWN)
        snprintf(load->words, sizeof load->words, "the load %s, about %.3g %s (n = %.2f ± %.2f)",
                 names[load->law == LOAD_POWER     ? 0
                       : load->law == LOAD_CURRENT ? 1
                                                   : 2],
                 load->level,
                 load->law == LOAD_POWER     ? "W"
                 : load->law == LOAD_CURRENT ? "A"
                                             : "ohm",
                 shown, u);
    else if (u < 0.5)
        snprintf(load->words, sizeof load->words, "the load %s (n = %.2f ± %.2f)", between(n->value), shown,
                 u);
    else
        snprintf(
            load->words, sizeof load->words,
            "cannot tell what the load kept constant: the volts moved too little for that (n = %.1f ± %.1f)",
            shown, u);
}

static void add(struct measure *n, enum cause cause, enum shape shape, double u, double dof, const char *what)
{
    measure_part(n, (struct part){cause, shape, u, dof, 0, what, "a longer discharge, over more volts"});
}

/* The slope with its budget; the means of all points are 0 already. */
static struct measure exponent_of(const struct delivery *delivery, const struct findings *findings,
                                  struct points *points)
{
    const struct basis *basis = delivery->basis;
    struct linefit fit;
    if (linefit_origin(points->x, points->y, NULL, points->count, &fit) != ANSWER_OK)
        return measure_unknown("the volts did not move");
    double volts = points->longest->mean_v, amps = fabs(points->longest->mean_a);
    double a_group = fmax(1, points->readings / (double)points->count);
    double noise_v = isfinite(findings->noise_v) ? findings->noise_v / volts : 0;
    double spread = sum_of_squares(points->x, points->count) / (double)points->count;
    double noise = noise_v * noise_v / a_group;
    if (!(spread > 4 * noise))
        return measure_unknown("the volts moved no more than their noise");
    double unflatten = 1 / (1 - noise / spread), dof = (double)(points->count - points->phases) - 1;
    for (size_t k = 0; k < points->count; k++)
        points->y[k] -= fit.slope * points->x[k];
    double r = stats_lag1(points->y, points->count);
    r = r > 0 ? fmin(r, 0.95) : 0; /* NaN when the line fits exactly */
    double follow = sqrt((1 + r) / (1 - r)), residual = sqrt(fit.chi2 / dof);
    struct measure n = measure_of(fit.slope * unflatten);
    add(&n, CAUSE_FIT, SHAPE_T, unflatten * follow * residual / sqrt(spread * (double)points->count),
        dof * (1 - r) / (1 + r), "scatter about the load law");
    const struct accuracy *of_v = &basis->rig->of[CHANNEL_VOLTAGE], *of_a = &basis->rig->of[CHANNEL_CURRENT];
    const double *digit = basis->series->resolution;
    add(&n, CAUSE_RESOLUTION, SHAPE_RECTANGULAR, digit[CHANNEL_CURRENT] / amps / points->range / sqrt(3),
        INFINITY, "digits of the current channel");
    add(&n, CAUSE_OFFSET_CURRENT, SHAPE_RECTANGULAR,
        n.value * accuracy_offset(of_a, digit[CHANNEL_CURRENT]) / amps / sqrt(3), INFINITY,
        "offset of the current channel");
    add(&n, CAUSE_OFFSET_VOLTAGE, SHAPE_RECTANGULAR,
        n.value * accuracy_offset(of_v, digit[CHANNEL_VOLTAGE]) / volts / sqrt(3), INFINITY,
        "offset of the voltage channel");
    budget_close(&n);
    return n;
}

struct load_finding load_law_find(const struct delivery *delivery, const struct findings *findings)
{
    struct load_finding load = {.law = LOAD_UNKNOWN, .level = NAN};
    struct points points = {.count = 0};
    const struct basis *basis = delivery->basis;
    for (size_t r = delivery->first; r <= delivery->last && basis->trace->v != NULL; r++) {
        const struct run *run = &delivery->runs[r];
        for (size_t p = run->first_phase; p < run->first_phase + run->phases; p++)
            if (findings->phases[p].kind == RUN_DISCHARGE && !findings->phases[p].pulse)
                add_phase(basis, &findings->phases[p], &points);
    }
    if (points.count < points.phases + 3)
        load.exponent = measure_unknown("too few readings under a steady load, with volts");
    else
        load.exponent = exponent_of(delivery, findings, &points);
    if (points.longest != NULL && measure_known(&load.exponent))
        name_law(&load, points.longest->mean_v, fabs(points.longest->mean_a));
    else
        snprintf(load.words, sizeof load.words, "cannot tell what the load kept constant: %.140s",
                 load.exponent.why);
    return load;
}
