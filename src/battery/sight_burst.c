#include "battery/sight_burst.h"

#include "base/memory.h"
#include "battery/burst.h"
#include "battery/efficiency.h"
#include "battery/sight_meter.h"
#include "numeric/budget.h"

/* Beyond the last volts read in a burst that was read once they fell by no more than this share of the sag.
 * Common practice, no source. */
#define FALLS_ON 0.1

/* The nodes that a burst is told from. */
struct around {
    size_t before;      /* the last under the base load */
    size_t first, last; /* in the burst */
    size_t after, back; /* the first after it, and the one where the volts stood highest */
};

static bool find_around(const struct course *course, size_t phase, struct around *ret_around)
{
    struct around span = {SIZE_MAX, SIZE_MAX, SIZE_MAX, SIZE_MAX, SIZE_MAX};
    for (size_t k = 0; k < course->node_count; k++) {
        if (!(course->volts[k].value > 0))
            continue;
        if (course->phase_of[k] + 1 == phase)
            span.before = k;
        if (course->phase_of[k] == phase) {
            span.first = span.first == SIZE_MAX ? k : span.first;
            span.last = k;
        }
        if (course->phase_of[k] == phase + 1) {
            span.after = span.after == SIZE_MAX ? k : span.after;
            if (span.back == SIZE_MAX || course->volts[k].value > course->volts[span.back].value)
                span.back = k;
        }
    }
    *ret_around = span;
    return span.before != SIZE_MAX && span.first != SIZE_MAX && span.back != SIZE_MAX;
}

static double volts(const struct course *course, size_t node)
{
    return course->volts[node].value;
}

/* Bounds of the mean volts of a leg of the burst, or of the recovery. */
static void bound_leg(const struct course *course, const struct around *span, const struct leg *leg, double *ret_lo,
                      double *ret_hi)
{
    bool burst = leg->phase == course->phase_of[span->first];
    double before = volts(course, span->before), last = volts(course, span->last);
    double v = leg->a != NO_NODE ? volts(course, (size_t)leg->a) : burst ? before : last;
    double w = leg->b != NO_NODE ? volts(course, (size_t)leg->b) : v;
    *ret_lo = fmin(v, w);
    *ret_hi = fmax(v, w);
    if (burst && leg->b == NO_NODE)
        *ret_lo = last - fmax(volts(course, span->first) - last, FALLS_ON * (before - last));
    if (!burst && leg->a != NO_NODE && w > v)
        *ret_lo = (v + w) / 2;
}

/* The volts not delivered: what the burst and its recovery cost, J, with what their bounds leave open. */
struct loss {
    double charge_c, joule, base_half_j; /* base_half_j: one base for all legs */
    struct widths open_j;
};

static struct loss find_loss(const struct course *course, const struct around *span)
{
    struct loss loss = {.charge_c = 0};
    double from = volts(course, span->before), to = fmin(from, volts(course, span->back)), total = 0, gone = 0;
    size_t first = course->position[span->before], end = course->position[span->back];
    for (size_t k = first; k < end; k++)
        total += course->leg[k].amps[0] * course->leg[k].duration_s;
    for (size_t k = first; k < end && total > 0; k++) {
        const struct leg *leg = &course->leg[k];
        double charge = leg->amps[0] * leg->duration_s, lo, hi;
        double line = from + (to - from) * (gone + charge / 2) / total; /* the lowest the base can be */
        gone += charge;
        if (leg->phase + 1 == course->phase_of[span->first])
            continue;
        bound_leg(course, span, leg, &lo, &hi);
        loss.joule += ((line + from) / 2 - (lo + hi) / 2) * charge;
        loss.base_half_j += (from - line) / 2 * charge;
        widths_add(&loss.open_j, (hi - lo) / 2 * charge);
        if (leg->phase == course->phase_of[span->first])
            loss.charge_c += charge;
    }
    return loss;
}

static struct measure cost_of(const struct course *course, const struct around *span, const struct loss *loss)
{
    for (size_t k = course->position[span->before]; k < course->position[span->back]; k++)
        if (!course->leg[k].bounded || course->load[course->class_of[course->leg[k].phase]].unknown != NULL)
            return measure_unknown("how much flowed in the burst is not known");
    double wh = loss->joule / 3600, per_volt = loss->charge_c / 3600;
    struct measure cost = measure_of(wh);
    sight_bound(&cost, CAUSE_GAP, loss->base_half_j / 3600, 0, "the base volts across the burst",
                "a line just before it, and some in the minutes after");
    widths_part(&loss->open_j, CAUSE_GAP, 1 / 3600.0, "the volts between the readings", "more lines in the burst", &cost);
    sight_bound(&cost, CAUSE_RESOLUTION, per_volt * seen_half(&course->volts[span->before]), 0,
                "the volts before the burst, as read", "volts with more digits");
    sight_bound(&cost, CAUSE_RESOLUTION, per_volt * seen_half(&course->volts[span->last]), 0,
                "the volts in the burst, as read", "volts with more digits");
    sight_add_current(course, wh, 0, &cost);
    sight_add_voltage(course, wh, 0, &cost);
    for (size_t k = 0; k < course->change_count; k++) {
        const struct change *change = &course->change[k];
        bool edge = change->before != NO_NODE && change->after != NO_NODE &&
                    ((size_t)change->before == span->before || (size_t)change->after == span->after);
        double amps = course->leg[course->position[span->first]].amps[0];
        if (edge && change->timed)
            sight_bound(&cost, CAUSE_STEP_INSTANTS,
                        change->half_s * amps * (volts(course, span->before) - volts(course, span->last)) / 3600, 0,
                        "when the burst began and ended", "a line just before and after each change");
    }
    budget_close(&cost);
    return cost;
}

static struct measure peak_of(const struct course *course, size_t phase)
{
    const struct seen *most = NULL;
    for (size_t k = 0; k < course->node_count; k++) {
        const struct seen *amps = &course_node(course, k)->amps;
        if (course->phase_of[k] == phase && !isnan(amps->lo) && (most == NULL || amps->lo > most->lo))
            most = amps;
    }
    if (most == NULL || !is_seen(most))
        return most == NULL ? measure_unknown("the current of the burst was not read")
                            : measure_unknown("it was only seen to be above %.3g A", most->lo);
    struct measure peak = measure_of(most->value);
    sight_add_current(course, most->value, 1, &peak);
    sight_bound(&peak, most->hedged ? CAUSE_HEDGE : CAUSE_RESOLUTION, seen_half(most), 0, "the amps as they were read",
                "amps read plainly");
    budget_close(&peak);
    return peak;
}

/* Q·R·ΔI with the R of either step of the burst; NaN without. */
static double rule_of_thumb(const struct course *course, const struct phase *phase, double charge_c, double step_a)
{
    const struct findings *findings = course->findings;
    for (size_t k = 0; k < findings->step_count; k++) {
        const struct step *step = &findings->steps[k];
        bool beside = step->after == phase->first || step->before == phase->last;
        if (beside && step->resistances > 0 && measure_known(&step->resistance[0].ohm))
            return charge_c * step->resistance[0].ohm.value * step_a / 3600;
    }
    return NAN;
}

/* Volts lost an ampere-hour where the run ended; NaN when that was not read. */
static double slope_at_end(const struct course *course, size_t run)
{
    const struct findings *findings = course->findings;
    for (size_t k = course->node_count; k-- > 1;) {
        size_t at = course->position[k];
        if (findings->phases[course->phase_of[k]].run != run)
            continue;
        double charge = at > 0 && course->leg[at - 1].a == (long)k - 1 && course->leg[at - 1].b == (long)k
                            ? course->leg[at - 1].amps[0] * course->leg[at - 1].duration_s / 3600
                            : NAN;
        double fall = volts(course, k - 1) - volts(course, k);
        return charge > 0 && fall > 0 ? fall / charge : NAN;
    }
    return NAN;
}

static void bound_charge(const struct course *course, const struct around *span, struct burst *burst)
{
    double slope = slope_at_end(course, course->findings->phases[burst->phase].run);
    double within = fmax(0, volts(course, span->before) - volts(course, span->back)) +
                    seen_half(&course->volts[span->before]) + seen_half(&course->volts[span->back]);
    if (isnan(slope)) {
        snprintf(burst->charge_bound, sizeof burst->charge_bound,
                 "not bounded: how fast the volts fell at the end was not read");
        return;
    }
    burst->charge_bound_ah = within / slope;
    snprintf(burst->charge_bound, sizeof burst->charge_bound,
             "at most %.2g Ah: by line %ld the volts were within %.2g V of where they had stood before, and at the end "
             "they fell by %.2g V an ampere-hour",
             burst->charge_bound_ah, course->sightings->instants[course_node(course, span->back)->instant].line, within,
             slope);
}

static void measure_cost(const struct course *course, struct burst *burst)
{
    struct around span;
    const struct phase *phase = &course->findings->phases[burst->phase];
    if (!find_around(course, burst->phase, &span)) {
        burst->cost_wh = measure_unknown("volts were not read before, in and after the burst");
        snprintf(burst->charge_bound, sizeof burst->charge_bound, "not bounded: %s", burst->cost_wh.why);
        return;
    }
    struct loss loss = find_loss(course, &span);
    burst->cost_wh = cost_of(course, &span, &loss);
    burst->sag_v = volts(course, span.before) - volts(course, span.last);
    burst->check_wh = rule_of_thumb(course, phase, loss.charge_c, burst->current_a - burst->base_a);
    bool passed = span.back + 1 < course->node_count && course->phase_of[span.back + 1] == course->phase_of[span.back];
    if (passed) /* volts fall again: they had joined the base by then */
        burst->recovery_s = course_node(course, span.back)->at_s - burst->end_s;
    bound_charge(course, &span, burst);
}

static bool is_burst(const struct findings *findings, size_t k, bool *ret_reached_end)
{
    const struct phase *phase = &findings->phases[k];
    if (phase->kind != RUN_DISCHARGE || k == 0 || phase[-1].run != phase->run ||
        !(phase->mean_a >= BURST_RATIO * phase[-1].mean_a))
        return false;
    *ret_reached_end = k + 1 == findings->phase_count || phase[1].run != phase->run;
    return phase->pulse || (*ret_reached_end && phase->end_s - phase->start_s < phase[-1].end_s - phase[-1].start_s);
}

void sight_bursts(struct course *course)
{
    struct findings *findings = course->findings;
    findings->bursts = memory_get((findings->phase_count + 1) * sizeof *findings->bursts);
    for (size_t k = 0; k < findings->phase_count; k++) {
        const struct phase *phase = &findings->phases[k];
        bool reached_end;
        if (!is_burst(findings, k, &reached_end))
            continue;
        struct burst burst = {
            .phase = k,
            .start_s = phase->start_s,
            .end_s = phase->end_s,
            .current_a = phase->mean_a,
            .base_a = reached_end ? phase[-1].mean_a : (phase[-1].mean_a + phase[1].mean_a) / 2,
            .peak_a = peak_of(course, k),
            .sag_v = NAN,
            .recovery_s = NAN,
            .check_wh = NAN,
            .charge_bound_ah = NAN,
        };
        if (reached_end) {
            burst.cost_wh = measure_unknown("no base load follows the burst to compare with");
            snprintf(burst.charge_bound, sizeof burst.charge_bound,
                     "the discharge ended in the burst: the base load might have drawn more, and this run does not say "
                     "how much");
        } else {
            measure_cost(course, &burst);
        }
        burst.cost_share = efficiency_ratio(&burst.cost_wh, &findings->test_wh);
        findings->bursts[findings->burst_count++] = burst;
    }
}
