#include "battery/examine.h"

#include "base/memory.h"
#include "battery/ripple.h"
#include "battery/sight_amount.h"
#include "battery/sight_carry.h"
#include "battery/sight_charging.h"
#include "battery/sight_ending.h"
#include "battery/sight_law.h"
#include "battery/sight_order.h"
#include "battery/sight_phase.h"
#include "battery/sight_protections.h"
#include "battery/sight_step.h"
#include "battery/sight_test.h"
#include "battery/sight_view.h"
#include "numeric/budget.h"

void course_free(struct course *course)
{
    free(course->sight);
    free(course->node);
    free(course->phase_of);
    free(course->volts);
    free(course->position);
    free(course->class_of);
    free(course->load);
    free(course->leg);
    free(course->change);
}

static enum status check(const struct course *course, struct message *message)
{
    bool current = false, tally = false;
    for (size_t k = 0; k < course->sight_count; k++) {
        const struct sight *sight = &course->sight[k];
        current |= !isnan(sight->amps.lo);
        tally |= is_seen(&sight->of[CHANNEL_CHARGE_TALLY]) || is_seen(&sight->of[CHANNEL_ENERGY_TALLY]);
    }
    if (!current && !tally) {
        status_fail(message, STATUS_UNREADABLE, "the readings hold no current in any form");
        return status_remedy(message, "Type amps (`24.8 A`), watts beside volts (`320 W 12.9 V`), or a tally (`31.2 Ah`)");
    }
    if (course->node_count < 2) {
        status_fail(message, STATUS_UNREADABLE, "fewer than two of the lines hold readings");
        return status_remedy(message, "Type at least one line under load and one at its end");
    }
    return STATUS_OK;
}

/* Legs of the nodes first…last of one run, with the half legs at its edges. */
static void legs_of(const struct course *course, size_t first_phase, size_t phases, size_t *ret_first, size_t *ret_end)
{
    *ret_first = *ret_end = 0;
    bool any = false;
    for (size_t k = 0; k < course->leg_count; k++) {
        if (course->leg[k].phase < first_phase || course->leg[k].phase >= first_phase + phases)
            continue;
        *ret_first = any ? *ret_first : k;
        *ret_end = k + 1;
        any = true;
    }
}

/* Where the phase or run that holds nodes first and last begins and ends. */
static void times_of(const struct course *course, size_t first, size_t last, double *ret_start, double *ret_end)
{
    *ret_start = course_node(course, first)->at_s;
    *ret_end = course_node(course, last)->at_s;
    for (size_t k = 0; k < course->change_count; k++) {
        if (course->change[k].after == (long)first)
            *ret_start = course->change[k].at_s;
        if (course->change[k].before == (long)last)
            *ret_end = course->change[k].at_s;
    }
}

static void find_nodes(const struct course *course, size_t first_phase, size_t phases, size_t *ret_first,
                       size_t *ret_last)
{
    *ret_first = *ret_last = SIZE_MAX;
    for (size_t k = 0; k < course->node_count; k++) {
        if (course->phase_of[k] < first_phase || course->phase_of[k] >= first_phase + phases)
            continue;
        *ret_first = *ret_first == SIZE_MAX ? k : *ret_first;
        *ret_last = k;
    }
}

static enum phase_mode mode_of(const struct course *course, const struct phase *phase)
{
    if (phase->kind == RUN_REST)
        return MODE_REST;
    switch (course->findings->load.law) {
    case LOAD_POWER: return MODE_CONSTANT_POWER;
    case LOAD_CURRENT: return MODE_CONSTANT_CURRENT;
    case LOAD_RESISTANCE: return MODE_CONSTANT_RESISTANCE;
    case LOAD_UNKNOWN: break;
    }
    return MODE_VARYING;
}

static void measure_phases(struct course *course)
{
    struct findings *findings = course->findings;
    for (size_t p = 0; p < findings->phase_count; p++) {
        struct phase *phase = &findings->phases[p];
        size_t first, last, leg, end;
        find_nodes(course, p, 1, &first, &last);
        legs_of(course, p, 1, &leg, &end);
        times_of(course, first, last, &phase->start_s, &phase->end_s);
        phase->mode = mode_of(course, phase);
        phase->start_v = course->volts[first].value;
        phase->end_v = course->volts[last].value;
        phase->mean_a = phase->kind == RUN_REST ? 0 : NAN;
        phase->mean_v = (phase->start_v + phase->end_v) / 2;
        double charge = 0, volts = 0, seconds = 0;
        for (; leg < end; leg++) {
            charge += course->leg[leg].amps[0] * course->leg[leg].duration_s;
            volts += (course->leg[leg].v_lo + course->leg[leg].v_hi) / 2 * course->leg[leg].duration_s;
            seconds += course->leg[leg].duration_s;
        }
        if (seconds > 0) {
            phase->mean_a = (phase->kind == RUN_CHARGE ? -1 : 1) * charge / seconds;
            phase->mean_v = volts / seconds;
        }
    }
}

static void take_temperature(const struct course *course, size_t first, size_t last, struct run *run)
{
    double sum = 0, count = 0;
    run->degc_min = INFINITY, run->degc_max = -INFINITY;
    for (size_t k = first; k <= last; k++) {
        const struct seen *seen = &course_node(course, k)->of[CHANNEL_TEMPERATURE];
        if (!is_seen(seen))
            continue;
        sum += seen->value;
        count++;
        run->degc_min = fmin(run->degc_min, seen->value);
        run->degc_max = fmax(run->degc_max, seen->value);
    }
    run->degc_mean = count > 0 ? sum / count : NAN;
    if (count == 0)
        run->degc_min = run->degc_max = NAN;
}

static double peak_of(const struct course *course, size_t first, size_t last)
{
    double peak = 0;
    for (size_t k = first; k <= last; k++) {
        const struct seen *amps = &course_node(course, k)->amps;
        double size = is_seen(amps) ? fabs(amps->value) : isfinite(amps->lo) ? fabs(amps->lo) : 0;
        peak = fmax(peak, size);
    }
    return peak;
}

static void measure_run(struct course *course, struct run *run)
{
    size_t first, last, leg, end;
    find_nodes(course, run->first_phase, run->phases, &first, &last);
    legs_of(course, run->first_phase, run->phases, &leg, &end);
    times_of(course, first, last, &run->start_s, &run->end_s);
    struct sight_amounts amounts;
    sight_amounts(course, leg, end, &amounts);
    run->charge_ah = amounts.charge_ah;
    run->energy_wh = amounts.energy_wh;
    run->mean_v = amounts.mean_v;
    run->duration_s = amounts.duration_s;
    double hours = (run->end_s - run->start_s) / 3600;
    run->mean_a = run->kind == RUN_REST ? 0 : hours > 0 ? run->charge_ah.value / hours : NAN;
    run->peak_a = run->kind == RUN_REST ? 0 : peak_of(course, first, last);
    run->start_v = course->volts[first].value;
    run->end_v = course->volts[last].value;
    take_temperature(course, first, last, run);
    sight_ending(course, last, run);
}

static void add_to(struct measure *total, const struct measure *more)
{
    *total = measure_sum(total, 1, more, 1);
}

static void measure_totals(struct findings *findings)
{
    struct measure zero = measure_of(0);
    findings->discharge_ah = findings->discharge_wh = findings->charge_ah = findings->charge_wh = zero;
    for (size_t k = 0; k < findings->run_count; k++) {
        const struct run *run = &findings->runs[k];
        if (run->kind == RUN_DISCHARGE) {
            add_to(&findings->discharge_ah, &run->charge_ah);
            add_to(&findings->discharge_wh, &run->energy_wh);
        } else if (run->kind == RUN_CHARGE) {
            add_to(&findings->charge_ah, &run->charge_ah);
            add_to(&findings->charge_wh, &run->energy_wh);
        }
    }
    budget_close(&findings->discharge_ah);
    budget_close(&findings->discharge_wh);
    budget_close(&findings->charge_ah);
    budget_close(&findings->charge_wh);
}

/* Only a discharge by a load that may be an inverter's has any. */
static struct ripple find_ripple(const struct course *course)
{
    for (size_t k = 0; k < course->findings->run_count; k++)
        if (course->findings->runs[k].kind == RUN_DISCHARGE)
            return ripple_find(course->rig, course->asked, course->findings, course->notices);
    return (struct ripple){0, 0, 0, 0};
}

enum status examine_sightings(const struct sightings *sightings, const struct rig *rig, const struct asked *asked,
                              struct findings *ret_findings, struct notices *notices, struct message *message)
{
    struct findings findings = {.noise_v = NAN, .noise_a = NAN, .period_s = NAN};
    struct course course = {.sightings = sightings, .rig = rig, .asked = asked, .notices = notices,
                            .findings = &findings};
    enum status status = sight_view(&course, message);
    if (status == STATUS_OK)
        status = check(&course, message);
    if (status == STATUS_OK) {
        course.cells = asked->cells > 0 ? asked->cells : NAN;
        sight_phases(&course);
        sight_laws(&course);
        sight_lay_out(&course);
        for (int pass = 0; pass < 2; pass++) { /* the second time durations show where the volts bend */
            sight_carry(&course);
            sight_order(&course);
        }
        sight_carry(&course);
        measure_phases(&course);
        sight_steps(&course);
        course.ripple = find_ripple(&course);
        for (size_t k = 0; k < findings.run_count; k++)
            measure_run(&course, &findings.runs[k]);
        measure_totals(&findings);
        sight_chargings(&course);
        sight_restings(&course);
        sight_test(&course);
        sight_protections(&course);
        *ret_findings = findings;
    } else {
        findings_free(&findings);
    }
    course_free(&course);
    return status;
}
