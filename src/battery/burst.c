#include "battery/burst.h"

#include "base/memory.h"
#include "battery/burst_base.h"
#include "battery/local_line.h"
#include "numeric/budget.h"

struct lab {
    const struct trace *trace;
    const struct rig *rig;
    const struct findings *findings;
    double digit_v, digit_a, noise_v;
};

bool burst_is(const struct findings *findings, size_t k, bool *ret_reached_end)
{
    const struct phase *phase = &findings->phases[k];
    if (phase->kind != RUN_DISCHARGE || k == 0)
        return false;
    const struct phase *before = phase - 1, *after = k + 1 < findings->phase_count ? phase + 1 : NULL;
    double length = phase->end_s - phase->start_s;
    if (before->run != phase->run || before->end_s - before->start_s <= length ||
        phase->mean_a < BURST_RATIO * before->mean_a)
        return false;
    *ret_reached_end = after == NULL || after->run != phase->run;
    if (*ret_reached_end)
        return true;
    double ratio = after->mean_a / before->mean_a;
    return after->end_s - after->start_s > length / 2 && ratio < BURST_RATIO && ratio > 1 / BURST_RATIO &&
           phase->mean_a >= BURST_RATIO * after->mean_a;
}

static void add(struct measure *measure, enum cause cause, enum shape shape, double u, uint32_t source,
                const char *what, const char *remedy)
{
    measure_part(measure, (struct part){cause, shape, u, INFINITY, source, what, remedy});
}

/* What the warmth that a burst leaves does to the base after it, of the cost: from rehearsals, where costs counted 10 and 30
 * minutes after it differ by so much (tests/coverage). */
#define WARMTH 0.015

static const char *const calibrate = "a meter of smaller gain error, or a calibration against one";

/* Amps worked out as watts over volts are wrong as the watts are, the other way as the volts. */
static void add_gains(struct measure *wh, const struct lab *lab, bool amps_from_watts)
{
    const struct rig *rig = lab->rig;
    enum channel amps = amps_from_watts ? CHANNEL_POWER : CHANNEL_CURRENT;
    if (!amps_from_watts)
        add(wh, CAUSE_GAIN_VOLTAGE, SHAPE_RECTANGULAR, wh->value * rig->of[CHANNEL_VOLTAGE].gain / sqrt(3),
            rig_source(rig, CHANNEL_VOLTAGE, ERROR_GAIN), "gain of the voltage channel", calibrate);
    add(wh, amps_from_watts ? CAUSE_GAIN_OTHER : CAUSE_GAIN_CURRENT, SHAPE_RECTANGULAR,
        wh->value * rig->of[amps].gain / sqrt(3), rig_source(rig, amps, ERROR_GAIN),
        "gain of the current channel", calibrate);
    add(wh, CAUSE_GAIN_CURRENT, SHAPE_RECTANGULAR, wh->value * rig->of[amps].shunt_gain / sqrt(3),
        rig_source(rig, amps, ERROR_SHUNT), "slope of the shunt", calibrate);
}

/* The volts missing right after the step up and right before the step down, and the current that came and
 * went with them. */
struct sags {
    double start_v, end_v, more_a;
};

/* Of the two outermost readings the farther: the meter may have averaged over the step in the other. */
static struct sags sags_of(const struct trace *trace, const struct phase *phase, double start_v, double end_v)
{
    const double *v = trace->v;
    size_t second = phase->first < phase->last ? phase->first + 1 : phase->first;
    size_t last_but_one = phase->first < phase->last ? phase->last - 1 : phase->last;
    return (struct sags){start_v - fmin(v[phase->first], v[second]), end_v - fmin(v[phase->last], v[last_but_one]),
                         phase->mean_a - phase[-1].mean_a};
}

static void add_readings(struct measure *wh, const struct lab *lab, const struct phase *phase,
                         struct sags sags)
{
    const struct trace *trace = lab->trace;
    double squares = 0, halfwidth[2] = {0, 0};
    for (size_t k = phase->first; k <= phase->last; k++) {
        double from = k > phase->first ? trace->t_s[k - 1] : phase->start_s;
        double to = k < phase->last ? trace->t_s[k + 1] : phase->end_s;
        squares += pow(trace->a[k] * (to - from) / 2, 2);
    }
    for (size_t k = 0; k < lab->findings->step_count; k++) {
        const struct step *step = &lab->findings->steps[k];
        if (step->after == phase->first)
            halfwidth[0] = step->at_halfwidth_s;
        if (step->before == phase->last)
            halfwidth[1] = step->at_halfwidth_s;
    }
    add(wh, CAUSE_NOISE, SHAPE_NORMAL, lab->noise_v * sqrt(squares) / 3600, 0,
        "noise of the volts in the burst", "a quieter meter");
    add(wh, CAUSE_RESOLUTION, SHAPE_TRIANGULAR, lab->digit_v / sqrt(6) * burst_charge_c(trace, phase) / 3600,
        0, "digits of the volts", "a voltmeter with one more digit");
    add(wh, CAUSE_STEP_INSTANTS, SHAPE_RECTANGULAR,
        sags.start_v * trace->a[phase->first] * halfwidth[0] / 3600 / sqrt(3), 0, "when the burst began",
        "a shorter sampling interval");
    add(wh, CAUSE_STEP_INSTANTS, SHAPE_RECTANGULAR,
        sags.end_v * trace->a[phase->last] * halfwidth[1] / 3600 / sqrt(3), 0, "when the burst ended",
        "a shorter sampling interval");
    /* sag without its amps, or amps without their sag, for as long as the two are apart or averaged over the step */
    double skew_s = isnan(lab->rig->skew_s) ? 2 * halfwidth[1] : lab->rig->skew_s;
    add(wh, CAUSE_SKEW, SHAPE_RECTANGULAR,
        sags.end_v * sags.more_a * (skew_s + lab->rig->averaging_s) / 3600 / sqrt(3), 0,
        "volts and amps not read at once", "a meter that reads both at once, or a shorter interval");
}

/* How close the volts had come to the base, and when. */
struct rejoined {
    double after_s, within_v;
};

/* The base carried across, W·s over the burst and its recovery, and what one more power of q changes. Of them all, how
 * far other windows and curves lie from it. */
struct carried {
    struct burst_base base;
    double energy_j, u_j, shape_j, others_j;
};

static bool carry_with(const struct trace *trace, const struct phase *phase, double window_s, int powers,
                       struct carried *ret_carried)
{
    double q = burst_charge_c(trace, phase), u;
    struct burst_base freer;
    if (!burst_base_fit(trace, phase, window_s, powers, &ret_carried->base) ||
        !burst_base_fit(trace, phase, window_s, powers + 1, &freer))
        return false;
    ret_carried->energy_j = burst_base_energy_j(&ret_carried->base, q, &ret_carried->u_j);
    ret_carried->shape_j = fabs(burst_base_energy_j(&freer, q, &u) - ret_carried->energy_j);
    return true;
}

/* Of the widest window and ever half of it, and of two curves, the one whose fit and shape leave least open:
 * with a knee within, shapes part. A window too short for the slow relaxation serves only where no other does. */
static bool carry(const struct trace *trace, const struct phase *phase, struct carried *ret_carried)
{
    double length = phase->end_s - phase->start_s, least = INFINITY, window_s = burst_base_window_s(phase);
    double lowest_j = INFINITY, highest_j = -INFINITY;
    bool cramped = true;
    for (int halvings = 0; halvings < 3 && window_s >= 2 * length; halvings++, window_s /= 2) {
        for (int powers = 3; powers <= 4; powers++) {
            struct carried one = {0};
            if (!carry_with(trace, phase, window_s, powers, &one))
                continue;
            lowest_j = fmin(lowest_j, one.energy_j);
            highest_j = fmax(highest_j, one.energy_j);
            if (one.base.cramped && !cramped)
                continue;
            double open = hypot(one.u_j, one.shape_j);
            if (open < least || (cramped && !one.base.cramped)) {
                least = open;
                cramped = one.base.cramped;
                *ret_carried = one;
            }
        }
    }
    ret_carried->others_j = highest_j - lowest_j;
    return isfinite(least);
}

bool burst_carried(const struct trace *trace, const struct phase *phase, struct burst_base *ret_base)
{
    struct carried carried;
    if (!carry(trace, phase, &carried))
        return false;
    *ret_base = carried.base;
    return true;
}

/* Energy lost to the burst, and by the way its sag and its recovery. */
static struct measure cost_of(const struct lab *lab, const struct phase *phase, bool amps_from_watts,
                              struct burst *burst, struct rejoined *ret_rejoined)
{
    const struct trace *trace = lab->trace;
    struct carried carried = {0};
    if (!carry(trace, phase, &carried))
        return measure_unknown("too few readings at the base load before or after the burst");
    const struct burst_base base = carried.base;
    double q = burst_charge_c(trace, phase), noise = fmax(lab->noise_v, lab->digit_v / sqrt(12));
    double u_start, u_end;
    double start_v = burst_base_at(&base, 0, &u_start), end_v = burst_base_at(&base, q, &u_end);
    struct sags sags = sags_of(trace, phase, start_v, end_v);
    burst->sag_v = sags.end_v;
    double known = fmax(noise, u_end);
    burst->recovery_s = burst_base_joined_s(&base, known);
    ret_rejoined->after_s = isnan(burst->recovery_s) ? base.window_s : burst->recovery_s;
    ret_rejoined->within_v = 2 * known + fmax(0, burst_base_missing_v(&base, ret_rejoined->after_s));
    struct measure wh = measure_of((carried.energy_j - burst_energy_j(trace, phase)) / 3600);
    measure_part(
        &wh, (struct part){CAUSE_FIT, SHAPE_T, carried.u_j / 3600, fmax(1, base.dof / (base.spread * base.spread)), 0,
                           "fit of the base volts on both sides", "a steadier base load, a quieter meter"});
    add(&wh, CAUSE_FIT, SHAPE_RECTANGULAR, carried.others_j / 3600 / sqrt(3), 0,
        "shape of the base volts across the burst",
        "a burst farther from the knee, and longer base on both sides");
    add(&wh, CAUSE_CONDITIONS, SHAPE_RECTANGULAR, WARMTH * wh.value / sqrt(3), 0, "the warmth that the burst left", "");
    /* under one load volts only fall: within the burst the base lies between its two ends, the middle likelier */
    add(&wh, CAUSE_FIT, SHAPE_TRIANGULAR, fmax(0, start_v - end_v) * q / 2 / 3600 / sqrt(6), 0,
        "where in the burst the base volts fell", "a shorter burst, or one where the volts are flatter");
    add_readings(&wh, lab, phase, sags);
    add_gains(&wh, lab, amps_from_watts);
    budget_close(&wh);
    return wh;
}

/* Share of the test's energy: what both have in common of the gains cancels. */
static struct measure share_of(const struct measure *cost, const struct measure *whole)
{
    if (!measure_known(cost))
        return *cost;
    if (!measure_known(whole) || !(whole->value > 0))
        return measure_unknown("the energy of the test is not known");
    double share = cost->value / whole->value;
    struct measure result = measure_sum(cost, 1 / whole->value, whole, -share / whole->value);
    result.value = share;
    budget_close(&result);
    return result;
}

static double peak_reading(const struct trace *trace, const struct phase *phase)
{
    double peak = trace->a[phase->first];
    for (size_t k = phase->first; k <= phase->last; k++)
        peak = fmax(peak, trace->a[k]);
    return peak;
}

static struct measure peak_of(const struct lab *lab, const struct phase *phase)
{
    const struct rig *rig = lab->rig;
    const struct accuracy *accuracy = &rig->of[CHANNEL_CURRENT];
    struct measure peak = measure_of(peak_reading(lab->trace, phase));
    double noise = lab->findings->noise_a;
    add(&peak, CAUSE_GAIN_CURRENT, SHAPE_RECTANGULAR, peak.value * accuracy->gain / sqrt(3),
        rig_source(rig, CHANNEL_CURRENT, ERROR_GAIN), "gain of the current channel", calibrate);
    add(&peak, CAUSE_GAIN_CURRENT, SHAPE_RECTANGULAR, peak.value * accuracy->shunt_gain / sqrt(3),
        rig_source(rig, CHANNEL_CURRENT, ERROR_SHUNT), "slope of the shunt", calibrate);
    add(&peak, CAUSE_OFFSET_CURRENT, SHAPE_RECTANGULAR, accuracy_offset(accuracy, lab->digit_a) / sqrt(3),
        rig_source(rig, CHANNEL_CURRENT, ERROR_OFFSET), "offset of the current channel", calibrate);
    add(&peak, CAUSE_RESOLUTION, SHAPE_RECTANGULAR, lab->digit_a / sqrt(12), 0, "digits of the amps",
        "a meter with one more digit");
    add(&peak, CAUSE_NOISE, SHAPE_NORMAL, isnan(noise) ? 0 : noise, 0, "noise of the amps",
        "a quieter meter");
    budget_close(&peak);
    return peak;
}

/* Q·R·ΔI with R at the longest delay at which the step up gave one; NaN without. */
static double rule_of_thumb(const struct lab *lab, const struct phase *phase)
{
    for (size_t k = 0; k < lab->findings->step_count; k++) {
        const struct step *step = &lab->findings->steps[k];
        if (step->after != phase->first)
            continue;
        for (int r = step->resistances - 1; r >= 0; r--)
            if (measure_known(&step->resistance[r].ohm))
                return burst_charge_c(lab->trace, phase) * step->resistance[r].ohm.value *
                       (phase->mean_a - phase[-1].mean_a) / 3600;
    }
    return NAN;
}

/* Fall of the volts an ampere-hour at the end of the run under its last load; NaN when not falling or not known. */
static double slope_at_end(const struct lab *lab, const struct run *run)
{
    const struct trace *trace = lab->trace;
    if (trace->v == NULL)
        return NAN;
    const struct phase *last = &lab->findings->phases[run->first_phase + run->phases - 1];
    size_t first = local_line_window(trace->t_s, last->first, last->last, 0);
    struct local_line line =
        local_line_at(trace->t_s, trace->v, first, last->last, last->end_s, lab->noise_v);
    double fall = -line.slope * 3600 / fabs(trace->a[last->last]);
    return fall > 0 ? fall : NAN;
}

static void bound_charge(const struct lab *lab, const struct phase *phase, bool reached_end,
                         const struct rejoined *rejoined, struct burst *burst)
{
    double slope = slope_at_end(lab, &lab->findings->runs[phase->run]);
    burst->charge_bound_ah = NAN;
    if (reached_end) {
        snprintf(
            burst->charge_bound, sizeof burst->charge_bound,
            "the discharge ended in the burst: the base load might have drawn more, and this run does not say "
            "how much");
    } else if (!measure_known(&burst->cost_wh) || isnan(slope)) {
        snprintf(burst->charge_bound, sizeof burst->charge_bound, "not bounded: %s",
                 measure_known(&burst->cost_wh) ? "the volts were not falling when the discharge ended"
                                                : burst->cost_wh.why);
    } else {
        burst->charge_bound_ah = rejoined->within_v / slope;
        snprintf(
            burst->charge_bound, sizeof burst->charge_bound,
            "next to nothing: after %.3g min the volts were within %.2g V of the base, which at the end of the "
            "discharge is worth at most %.2g Ah",
            rejoined->after_s / 60, rejoined->within_v, burst->charge_bound_ah);
    }
}

static struct burst measure_burst(const struct lab *lab, size_t k, bool reached_end, bool amps_from_watts)
{
    const struct phase *phase = &lab->findings->phases[k];
    struct burst burst = {
        .phase = k, .start_s = phase->start_s, .end_s = phase->end_s, .current_a = phase->mean_a};
    burst.base_a = reached_end ? phase[-1].mean_a : (phase[-1].mean_a + phase[1].mean_a) / 2;
    burst.peak_a = peak_of(lab, phase);
    struct rejoined rejoined = {NAN, NAN};
    burst.sag_v = burst.recovery_s = NAN;
    burst.cost_wh = lab->trace->v == NULL ? measure_unknown("the log has no voltage")
                    : reached_end         ? measure_unknown("no base load follows the burst to compare with")
                                          : cost_of(lab, phase, amps_from_watts, &burst, &rejoined);
    burst.cost_share = share_of(&burst.cost_wh, &lab->findings->test_wh);
    burst.check_wh = rule_of_thumb(lab, phase);
    bound_charge(lab, phase, reached_end, &rejoined, &burst);
    return burst;
}

void bursts_find(const struct series *series, const struct trace *trace, const struct rig *rig,
                 struct findings *findings, struct notices *notices)
{
    struct lab lab = {trace,
                      rig,
                      findings,
                      accuracy_digit(&rig->of[CHANNEL_VOLTAGE], series->resolution[CHANNEL_VOLTAGE]),
                      accuracy_digit(&rig->of[CHANNEL_CURRENT], series->resolution[CHANNEL_CURRENT]),
                      isnan(findings->noise_v) ? 0 : findings->noise_v};
    size_t capacity = 0;
    for (size_t k = 0; k < findings->phase_count; k++) {
        bool reached_end;
        if (!burst_is(findings, k, &reached_end))
            continue;
        if (findings->burst_count == BURSTS_MOST) {
            notices_add(notices, "bursts", 0, "Only the first %d bursts were worked out", BURSTS_MOST);
            return;
        }
        struct burst burst = measure_burst(&lab, k, reached_end, series->column[CHANNEL_CURRENT] == NULL);
        findings->bursts = memory_grow(findings->bursts, findings->burst_count, &capacity);
        findings->bursts[findings->burst_count++] = burst;
    }
}
