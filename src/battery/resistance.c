#include "battery/resistance.h"

#include "battery/ending.h"
#include "battery/local_line.h"
#include "numeric/budget.h"

static const double delays_s[STEP_DELAYS] = {0, 1, 10, 30}; /* 0: the first sample */

/* Further from the step the slow part of the volts and the discharge itself would count as resistance. Common
 * practice: 30 s is the longest usual delay. */
#define LATEST_S 60.0
#define WHOLE_STEP 0.9 /* a reading that shows less of the step was taken within it */

struct view {
    const struct series *series;
    const struct trace *trace;
    const struct rig *rig;
    double digit_v, digit_a, noise_v, noise_a;
    bool amps_from_watts;
};

/* One step and the stretches of one current on either side. */
struct sides {
    const struct step *step;
    size_t first, before, after, last;
    bool volts_lead;  /* the last reading before holds the volts of after already */
    double at_s, at_halfwidth_s; /* the step, between readings */
    double halfwidth; /* of that instant; INFINITY where the clock has a gap without bounds */
};

/* Volts and amps at one instant. */
struct instant_va {
    struct local_line v, a;
    double bend_v; /* half-width: how far a curve may depart from the straight lines taken */
};

static void add(struct measure *measure, enum cause cause, enum shape shape, double u, double dof,
                uint32_t source, const char *what, const char *remedy)
{
    measure_part(measure, (struct part){cause, shape, u, dof, source, what, remedy});
}

static void add_bound(struct measure *measure, enum cause cause, double halfwidth, uint32_t source,
                      const char *what, const char *remedy)
{
    add(measure, cause, SHAPE_RECTANGULAR, halfwidth / sqrt(3), INFINITY, source, what, remedy);
}

/* Where the volts before a step would have got to by themselves, had the current stayed. */
struct onward {
    double by_v;        /* beyond the line at the step */
    double halfwidth_v; /* how far the truth may lie from that */
    double reach_s;     /* so far along the line, its noise counts as much as in that */
    double bend_u;      /* of the slope before, as far as it shows the bend; V */
};

/* A least-squares line through an even bend y'' passes y''L²/12 beside it at its end, where the bend's slope is y''L/2
 * more than the line's; the slopes of this stretch and of the one before tell y''. A slope that has been shrinking goes on to
 * do so, as an exponential, or stays as it is at the end: the truth lies between, or so. Half of the line where nothing tells. */
static struct onward go_on(const struct view *view, const struct sides *sides, size_t from, const struct local_line *line, double seconds)
{
    enum { ENOUGH = 4 };
    const double *t = view->trace->t_s;
    size_t n = line->n, earlier = from > sides->first + n ? from - n : sides->first;
    if (n < ENOUGH || from < earlier + ENOUGH || !(t[from] > t[earlier])) {
        double half = line->slope * seconds / 2;
        return (struct onward){half, fabs(half), seconds, 0};
    }
    double middle = (t[from] + t[from + n - 1]) / 2, before_middle = (t[earlier] + t[from - 1]) / 2;
    double apart = middle - before_middle, length = line->seconds;
    struct local_line before = local_line_at(t, view->trace->v, earlier, from - 1, before_middle, view->noise_v);
    double bend = (line->slope - before.slope) / apart, ratio = line->slope / before.slope;
    double straight = (line->slope + bend * length / 2) * seconds, on = straight;
    if (ratio > 0 && ratio < 1) {
        double tau = apart / -log(ratio), at_end = line->slope * exp(-length / 2 / tau);
        straight = at_end * seconds;
        on = at_end * tau * (1 - exp(-seconds / tau));
    }
    double lever = (length * length / 12 + length * seconds / 2) / apart; /* volts of either slope */
    return (struct onward){bend * length * length / 12 + on, fabs(straight - on), seconds + lever, before.slope_u * lever};
}

/* Before the step, carried to `delay_s` after it. */
static struct instant_va instant_before(const struct view *view, const struct sides *sides, double delay_s)
{
    const struct trace *trace = view->trace;
    size_t last = sides->volts_lead ? sides->before - 1 : sides->before;
    size_t first = local_line_window(trace->t_s, sides->first, last, delay_s);
    double at = sides->at_s;
    struct instant_va instant = {
        .v = local_line_at(trace->t_s, trace->v, first, last, at, view->noise_v),
        .a = {.value = sides->step->from_a, .u = view->noise_a, .dof = INFINITY, .n = 1},
    };
    struct onward onward = go_on(view, sides, first, &instant.v, delay_s);
    instant.v.u = hypot(local_line_at(trace->t_s, trace->v, first, last, at + onward.reach_s, view->noise_v).u, onward.bend_u);
    instant.v.value += onward.by_v;
    instant.bend_v = onward.halfwidth_v;
    size_t steady = sides->before - sides->first + 1;
    instant.a.u *= sqrt(M_PI / 2 / (double)(steady < 5 ? steady : 5)); /* a median of so many */
    return instant;
}

/* At a delay after the step; false where no reading lies close enough. */
static bool instant_after(const struct view *view, const struct sides *sides, double delay_s,
                          struct instant_va *ret_instant)
{
    const struct trace *trace = view->trace;
    const double *t = trace->t_s, *v = trace->v, reach = delay_s / 5;
    double at = sides->at_s + delay_s;
    if (at > t[sides->last] && at <= t[sides->last] + sides->at_halfwidth_s)
        at = t[sides->last];
    if (at > t[sides->last] || at < t[sides->after])
        return false;
    size_t k = sides->after, from, to;
    while (k < sides->last && t[k + 1] <= at)
        k++;
    for (from = k; from > sides->after && t[from - 1] >= at - reach; from--) {
    }
    for (to = k; to < sides->last && t[to + 1] <= at + reach; to++) {
    }
    struct instant_va instant = {
        .v = local_line_at(t, v, from, to, at, view->noise_v),
        .a = local_line_at(t, trace->a, from, to, at, view->noise_a),
    };
    if (instant.v.n < 4 && k < sides->last) { /* straight between the two neighbours */
        double h = t[k + 1] - t[k], part = h > 0 ? (at - t[k]) / h : 0;
        if (h > 1.5 * delay_s)
            return false;
        double both = hypot(part, 1 - part); /* two independent noises, weighed */
        instant.v.u = view->noise_v * both, instant.v.dof = INFINITY;
        instant.a.u = view->noise_a * both, instant.a.dof = INFINITY;
        instant.v.value = v[k] + part * (v[k + 1] - v[k]);
        instant.v.slope = h > 0 ? (v[k + 1] - v[k]) / h : 0;
        instant.v.slope_u = h > 0 ? M_SQRT2 * view->noise_v / h : 0;
        instant.a.value = trace->a[k] + part * (trace->a[k + 1] - trace->a[k]);
        instant.a.slope = h > 0 ? (trace->a[k + 1] - trace->a[k]) / h : 0;
        instant.a.slope_u = h > 0 ? M_SQRT2 * view->noise_a / h : 0;
        if (k > sides->after && t[k] > t[k - 1]) /* a curve departs from its chord by y'' h² / 8 at most */
            instant.bend_v = fabs(instant.v.slope - (v[k] - v[k - 1]) / (t[k] - t[k - 1])) * h / 8;
    }
    *ret_instant = instant;
    return true;
}

/* One reading, with the slope to the next, h seconds on. */
static struct local_line reading_line(const double *y, size_t k, double h, double noise)
{
    struct local_line line = {.value = y[k], .u = noise, .dof = INFINITY, .n = 1};
    if (h > 0)
        line.slope = (y[k + 1] - y[k]) / h, line.slope_u = M_SQRT2 * noise / h;
    return line;
}

static struct instant_va first_sample(const struct view *view, const struct sides *sides)
{
    const struct trace *trace = view->trace;
    size_t k = sides->after;
    double h = k < sides->last ? trace->t_s[k + 1] - trace->t_s[k] : 0;
    return (struct instant_va){
        .v = reading_line(view->trace->v, k, h, view->noise_v),
        .a = reading_line(view->trace->a, k, h, view->noise_a),
    };
}

static void add_gains(struct measure *ohm, const struct view *view, double value)
{
    const struct rig *rig = view->rig;
    const char *calibrate = "a meter of smaller gain error, or a calibration against one";
    enum channel amps = view->amps_from_watts ? CHANNEL_POWER : CHANNEL_CURRENT;
    double volts = view->amps_from_watts ? 2 * value : value; /* I = P / V carries the volts' gain too */
    add_bound(ohm, CAUSE_GAIN_VOLTAGE, volts * rig->of[CHANNEL_VOLTAGE].gain,
              rig_source(rig, CHANNEL_VOLTAGE, ERROR_GAIN), "gain of the voltage channel", calibrate);
    add_bound(ohm, CAUSE_GAIN_CURRENT, -value * rig->of[amps].gain, rig_source(rig, amps, ERROR_GAIN),
              "gain of the current channel", calibrate);
    add_bound(ohm, CAUSE_GAIN_CURRENT, -value * rig->of[amps].shunt_gain, rig_source(rig, amps, ERROR_SHUNT),
              "slope of the shunt", calibrate);
}

/* A slope's own noise adds to its square: less that, what it is on average. */
static double without_noise(double slope, double u)
{
    return sqrt(fmax(0, slope * slope - u * u));
}

/* What the unknown instants, of the step and of each channel's reading, leave open. */
static void add_instants(struct measure *ohm, const struct view *view, const struct sides *sides,
                         const struct instant_va *before, const struct instant_va *after, double da)
{
    double half = sides->halfwidth, r = ohm->value;
    double skew = isnan(view->rig->skew_s) ? 2 * sides->step->at_halfwidth_s : view->rig->skew_s;
    double faster = without_noise(after->v.slope - before->v.slope, hypot(after->v.slope_u, before->v.slope_u));
    double slope_v = without_noise(after->v.slope, after->v.slope_u);
    double slope_a = without_noise(after->a.slope, after->a.slope_u);
    add_bound(ohm, CAUSE_STEP_INSTANTS, faster * half / da, 0,
              "instant of the step between two readings", "a shorter sampling interval");
    add_bound(ohm, CAUSE_SKEW, hypot(slope_v, r * slope_a) * skew / da, 0,
              "volts and amps not read at once", "a meter that reads both at once, or a shorter interval");
    add_bound(ohm, CAUSE_SAMPLING, slope_v * view->rig->averaging_s / 2 / da, 0,
              "the meter's own averaging", "a faster meter");
}

/* What rounding leaves in a value read off a line. Noise larger than half a digit makes the rounding error a noise
 * of its own, which is already in the noise found; what is left of it goes with the first term of the
 * characteristic function, exp(-2π²σ²/q²) (Widrow & Kollár 2008, Quantization Noise, ch. 9: from memory). Readings that pass over several digits average their rounding errors. */
static double rounding_u(double digit, double found, const struct local_line *line)
{
    double own2 = fmax(0, found * found - digit * digit / 12);
    double passed = fabs(line->slope) * line->seconds;
    double averaged = passed > digit && line->n > 1 ? fmax(digit / passed, 1 / sqrt((double)line->n)) : 1;
    return digit > 0 ? digit / sqrt(12) * averaged * exp(-2 * M_PI * M_PI * own2 / (digit * digit)) : 0;
}

/* Of the two sides of a step: each rounded by itself. */
static void add_rounding(struct measure *ohm, double digit, double found, const struct local_line *before,
                         const struct local_line *after, double per_unit, const char *what, const char *remedy)
{
    double one = rounding_u(digit, found, before), other = rounding_u(digit, found, after);
    add(ohm, CAUSE_RESOLUTION, one > 0.5 * other && other > 0.5 * one ? SHAPE_TRIANGULAR : SHAPE_RECTANGULAR,
        hypot(one, other) * per_unit, INFINITY, 0, what, remedy);
}

static struct measure measure_ohm(const struct view *view, const struct sides *sides,
                                  const struct instant_va *before, const struct instant_va *after)
{
    const struct rig *rig = view->rig;
    if (isinf(sides->halfwidth))
        return measure_unknown("the log's clock has a gap at the step that nothing bounds");
    double lower_v = fmin(before->v.value, after->v.value), higher_v = fmax(before->v.value, after->v.value);
    if (lower_v < COLLAPSED * higher_v)
        return measure_unknown("the volts had collapsed on one side of the step: the sample was disconnected there");
    double dv = after->v.value - before->v.value, da = after->a.value - before->a.value;
    double u_a = hypot(before->a.u, after->a.u), seen = hypot(u_a, view->digit_a / sqrt(6));
    if (!(fabs(da) > 10 * seen))
        return measure_unknown("the step of %.3g A is too small against noise and digits of %.3g A", fabs(da),
                               seen);
    struct measure ohm = measure_of(-dv / da);
    double r = ohm.value;
    add(&ohm, CAUSE_FIT, isinf(before->v.dof) ? SHAPE_NORMAL : SHAPE_T, before->v.u / da, before->v.dof, 0,
        "volts before the step", "more readings before the step, at rest or at a steady load");
    add_bound(&ohm, CAUSE_FIT, before->bend_v / da, 0, "how the volts would have gone on without the step",
              "a longer rest, or a longer steady load, before the step");
    add(&ohm, CAUSE_NOISE, isinf(after->v.dof) ? SHAPE_NORMAL : SHAPE_T, after->v.u / da, after->v.dof, 0,
        "noise of the volts", "a larger step, or a quieter meter");
    add(&ohm, CAUSE_NOISE, SHAPE_NORMAL, r * u_a / da, INFINITY, 0, "noise of the amps", "a larger step");
    add_rounding(&ohm, view->digit_v, view->noise_v, &before->v, &after->v, 1 / da, "digits of the volts",
                 "a voltmeter with one more digit, or a larger step");
    add_rounding(&ohm, view->digit_a, view->noise_a, &before->a, &after->a, r / da, "digits of the amps",
                 "a larger step");
    add_bound(&ohm, CAUSE_SAMPLING, after->bend_v / da, 0, "curve of the volts between readings",
              "a shorter sampling interval");
    add_gains(&ohm, view, r);
    add_instants(&ohm, view, sides, before, after, da);
    if (!rig->sense_leads) {
        ohm.value -= rig->lead_ohm;
        add_bound(&ohm, CAUSE_LEADS, -rig->lead_halfwidth_ohm, rig_source(rig, CHANNEL_VOLTAGE, ERROR_LEADS),
                  "leads between sample and voltmeter", "sense leads to the terminals");
    }
    budget_close(&ohm);
    if (ohm.hi < 0)
        return measure_unknown("the volts went the other way, as they do when the sample is disconnected");
    return ohm;
}

/* What bars the first sample, or NULL. */
static const char *first_sample_barred(const struct view *view, const struct sides *sides,
                                       const struct instant_va *before)
{
    const struct trace *trace = view->trace;
    const struct step *step = sides->step;
    size_t k = sides->after;
    double share = (trace->a[k] - step->from_a) / (step->to_a - step->from_a);
    double away = trace->t_s[k] - sides->at_s - sides->at_halfwidth_s, averaging = view->rig->averaging_s;
    if (trace->t_s[k] - sides->at_s + sides->at_halfwidth_s > LATEST_S)
        return "the first reading lies more than a minute after the step, or may do so";
    if (averaging > 0 && averaging > away && share < WHOLE_STEP)
        return "the meter averages longer than the first reading after the step is away";
    if (k == sides->last)
        return NULL;
    double first = trace->v[k] - before->v.value, second = trace->v[k + 1] - before->v.value;
    double gap = trace->t_s[k] - trace->t_s[sides->before], next = trace->t_s[k + 1] - trace->t_s[k];
    bool stale = fabs(first) < fabs(second) / 5 && fabs(second) > 6 * fmax(view->noise_v, view->digit_v);
    return stale && next <= 3 * gap ? "the first volts after the step are older than their amps" : NULL;
}

static void resist(const struct view *view, const struct sides *sides, struct step *step)
{
    double first_s = view->trace->t_s[sides->after] - sides->at_s;
    struct instant_va before = instant_before(view, sides, first_s), after = first_sample(view, sides);
    const char *barred = first_sample_barred(view, sides, &before);
    step->resistances = 0;
    step->resistance[step->resistances++] = (struct resistance){
        first_s, barred != NULL ? measure_unknown("%s", barred) : measure_ohm(view, sides, &before, &after)};
    for (int k = 1; k < STEP_DELAYS; k++) {
        if (delays_s[k] <= first_s + 0.9 * sides->at_halfwidth_s ||
            !instant_after(view, sides, delays_s[k], &after))
            continue;
        before = instant_before(view, sides, delays_s[k]);
        step->resistance[step->resistances++] =
            (struct resistance){delays_s[k], measure_ohm(view, sides, &before, &after)};
    }
}

static struct view view_of(const struct series *series, const struct trace *trace, const struct rig *rig,
                           const struct findings *findings)
{
    return (struct view){
        .series = series,
        .trace = trace,
        .rig = rig,
        .digit_v = accuracy_digit(&rig->of[CHANNEL_VOLTAGE], series->resolution[CHANNEL_VOLTAGE]),
        .digit_a = accuracy_digit(&rig->of[CHANNEL_CURRENT], series->resolution[CHANNEL_CURRENT]),
        .noise_v = isnan(findings->noise_v) ? 0 : findings->noise_v,
        .noise_a = isnan(findings->noise_a) ? 0 : findings->noise_a,
        .amps_from_watts = series->column[CHANNEL_CURRENT] == NULL,
    };
}

/* A gap of the log's clock between the readings beside the step may have been longer than it looks. */
static double halfwidth_of(const struct view *view, const struct step *step)
{
    const size_t *row = view->trace->row;
    size_t before = row != NULL ? row[step->before] : step->before;
    size_t after = row != NULL ? row[step->after] : step->after;
    double half = step->at_halfwidth_s;
    for (size_t k = 0; k < view->series->gap_count && view->series->gaps[k].after <= after; k++)
        if (view->series->gaps[k].after > before)
            half += fmax(0, view->series->gaps[k].hi_s - view->series->gaps[k].assumed_s);
    return half;
}

/* A reading taken while the current was on its way shows neither side: what comes after begins with the next. By a meter
 * that averages, the step fell within the average of that reading. */
static void pass_mixed(const struct view *view, struct sides *sides)
{
    const struct step *step = sides->step;
    double share = (view->trace->a[sides->after] - step->from_a) / (step->to_a - step->from_a);
    if (!(share < WHOLE_STEP) || sides->after == sides->last)
        return;
    double half = view->rig->averaging_s / 2;
    if (half > 0 && half < step->at_halfwidth_s) {
        sides->at_s = view->trace->t_s[sides->after] - half;
        sides->halfwidth += half - step->at_halfwidth_s;
        sides->at_halfwidth_s = half;
    }
    sides->after++;
}

/* Between the phase that ends before the step and the next. */
static struct sides sides_of(const struct view *view, const struct phase *before, const struct step *step)
{
    const struct trace *trace = view->trace;
    struct sides sides = {.step = step, .first = before->first, .before = step->before, .after = step->after,
                          .last = before[1].last, .at_s = step->at_s, .at_halfwidth_s = step->at_halfwidth_s,
                          .halfwidth = halfwidth_of(view, step)};
    sides.volts_lead = local_line_overtaken(trace->t_s, trace->v, sides.first, sides.before, sides.after,
                                            fmax(view->noise_v, view->digit_v));
    pass_mixed(view, &sides);
    return sides;
}

void resistance_find(const struct series *series, const struct trace *trace, const struct rig *rig,
                     struct findings *findings)
{
    if (trace->v == NULL)
        return;
    struct view view = view_of(series, trace, rig, findings);
    size_t phase = 0;
    for (size_t k = 0; k < findings->step_count; k++) {
        struct step *step = &findings->steps[k];
        while (findings->phases[phase].last < step->before)
            phase++;
        struct sides sides = sides_of(&view, &findings->phases[phase], step);
        resist(&view, &sides, step);
    }
}

struct step_line resistance_line(const struct series *series, const struct trace *trace, const struct rig *rig,
                                 const struct findings *findings, const struct phase *before, const struct step *step)
{
    struct view view = view_of(series, trace, rig, findings);
    struct sides sides = sides_of(&view, before, step);
    size_t first = local_line_window(trace->t_s, sides.first, sides.volts_lead ? sides.before - 1 : sides.before, 0);
    struct local_line line = instant_before(&view, &sides, 0).v;
    double from_s = trace->t_s[first];
    return (struct step_line){from_s, line.value + line.slope * (from_s - sides.at_s), line.value};
}

double resistance_carried_v(const struct series *series, const struct trace *trace, const struct rig *rig,
                            const struct findings *findings, const struct phase *before, const struct step *step,
                            double delay_s)
{
    struct view view = view_of(series, trace, rig, findings);
    struct sides sides = sides_of(&view, before, step);
    return instant_before(&view, &sides, delay_s).v.value;
}

struct measure resistance_between(const struct series *series, const struct trace *trace,
                                  const struct rig *rig, const struct findings *findings,
                                  const struct phase *before, const struct step *step, double delay_s,
                                  double *ret_before_v, double *ret_after_v)
{
    struct view view = view_of(series, trace, rig, findings);
    struct sides sides = sides_of(&view, before, step);
    struct instant_va from = instant_before(&view, &sides, delay_s), to;
    if (!instant_after(&view, &sides, delay_s, &to))
        return measure_unknown("no reading lies close enough to %g s after the step", delay_s);
    *ret_before_v = from.v.value;
    *ret_after_v = to.v.value;
    return measure_ohm(&view, &sides, &from, &to);
}

/* Relative uncertainty of the last resistance told of a step; INFINITY without one. */
static double doubt(const struct step *step)
{
    for (int k = step->resistances - 1; k >= 0; k--)
        if (measure_known(&step->resistance[k].ohm))
            return step->resistance[k].ohm.u / step->resistance[k].ohm.value;
    return INFINITY;
}

const struct step *resistance_best(const struct findings *findings)
{
    const struct step *best = NULL;
    for (size_t k = 0; k < findings->step_count; k++) {
        const struct step *s = &findings->steps[k];
        if (s->resistances > 0 && measure_known(&s->resistance[0].ohm) && (best == NULL || doubt(s) < doubt(best)))
            best = s;
    }
    return best;
}
