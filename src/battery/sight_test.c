#include "battery/sight_test.h"

#include "base/memory.h"
#include "battery/delivery.h"
#include "battery/sight_amount.h"
#include "battery/sight_burst.h"
#include "battery/sight_capacity.h"
#include "battery/sight_conditions.h"
#include "battery/sight_tally.h"
#include "numeric/budget.h"

static void no_test(struct findings *findings)
{
    struct measure none = measure_unknown("the readings hold no discharge");
    findings->test_ah = findings->test_wh = findings->test_mean_v = findings->test_duration_s = none;
    findings->wake_ah = findings->efficiency_charge = findings->efficiency_energy = none;
    findings->full_before = NAN;
    findings->rated_ah = findings->rated_wh = (struct crossing){.rated = NAN, .at_s = none, .volts = NAN};
    findings->tally_ah = findings->tally_wh = (struct tally_check){.tally = none, .integral = none, .e_n = NAN, .event_s = NAN};
    findings->test_start_s = findings->test_end_s = NAN;
    findings->test_mean_a = findings->test_peak_a = findings->test_degc = NAN;
}

/* The same rule as for logs. */
static bool find_runs(const struct findings *findings, size_t *ret_first, size_t *ret_last)
{
    struct throughput *throughs = memory_get((findings->run_count + 1) * sizeof *throughs);
    for (size_t k = 0; k < findings->run_count; k++) {
        const struct run *run = &findings->runs[k];
        double charge = measure_known(&run->charge_ah) ? run->charge_ah.value * 3600 : 1; /* it did flow */
        throughs[k].sums.charge_c = run->kind == RUN_DISCHARGE ? charge : run->kind == RUN_CHARGE ? -charge : 0;
    }
    bool found = delivery_find(findings->runs, throughs, findings->run_count, ret_first, ret_last);
    free(throughs);
    return found;
}

static double unshared_ratio(const struct measure *tally, const struct measure *integral)
{
    if (!measure_known(tally) || !measure_known(integral))
        return NAN;
    struct measure difference = measure_sum(tally, 1, integral, -1); /* what they share cancels */
    budget_close(&difference);
    double half = difference.hi - difference.value;
    return half > 0 ? difference.value / half : NAN;
}

static struct tally_check check_tally(const struct course *course, enum channel channel, const struct measure *tally,
                                      const struct measure *integral)
{
    struct tally_check check = {.tally = *tally, .integral = *integral, .event_s = NAN};
    check.present = measure_known(tally);
    check.e_n = unshared_ratio(tally, integral);
    check.agrees = fabs(check.e_n) <= 1;
    sight_tally_events(course, channel, &check);
    const char *unit = channel_symbol(channel);
    if (!check.present) {
        snprintf(check.words, sizeof check.words, "%s", tally->why);
        return check;
    }
    const char *event = check.reset   ? "; it started again at one point, and only what it gained before and after counts"
                        : check.froze ? "; it stood still while current flowed, and does not count there"
                                      : "";
    if (isnan(check.e_n))
        snprintf(check.words, sizeof check.words, "the meter's own tally gives %.4g %s; nothing to set beside it: %s%s",
                 tally->value, unit, integral->why, event);
    else
        snprintf(check.words, sizeof check.words,
                 "the meter's own tally gives %.4g %s, the load carried between the readings %.4g %s: %s%s", tally->value,
                 unit, integral->value, unit,
                 check.agrees ? "they agree within what they do not share" : "they disagree by more than they do not share",
                 event);
    return check;
}

static void measure_load(struct course *course)
{
    struct load_finding *load = &course->findings->load;
    double most = 0;
    load->level = NAN;
    for (size_t c = 0; c < course->class_count; c++) {
        double charge = 0;
        for (size_t k = 0; k < course->leg_count; k++)
            if (course->class_of[course->leg[k].phase] == c)
                charge += course->leg[k].amps[0] * course->leg[k].duration_s;
        if (charge <= most || course->load[c].unknown != NULL)
            continue;
        most = charge;
        double k = course->load[c].level[0].k;
        load->level = load->law == LOAD_RESISTANCE ? 1 / k : load->law == LOAD_UNKNOWN ? NAN : k;
    }
}

static void measure_conditions(const struct course *course)
{
    struct findings *findings = course->findings;
    double degc_s = 0, degc = 0;
    findings->test_peak_a = 0;
    for (size_t k = findings->test_first_run; k <= findings->test_last_run; k++) {
        const struct run *run = &findings->runs[k];
        double weight = fmax(run->end_s - run->start_s, 1);
        if (run->kind == RUN_DISCHARGE)
            findings->test_peak_a = fmax(findings->test_peak_a, run->peak_a);
        if (run->kind == RUN_DISCHARGE && isfinite(run->degc_mean)) {
            degc += run->degc_mean * weight;
            degc_s += weight;
        }
    }
    findings->test_degc = degc_s > 0 ? degc / degc_s : NAN;
}

/* All legs of the test's runs. */
static void test_legs(const struct course *course, size_t *ret_first, size_t *ret_end)
{
    const struct findings *findings = course->findings;
    const struct run *first = &findings->runs[findings->test_first_run], *last = &findings->runs[findings->test_last_run];
    *ret_first = course->leg_count;
    *ret_end = 0;
    for (size_t k = 0; k < course->leg_count; k++) {
        size_t phase = course->leg[k].phase;
        if (phase < first->first_phase || phase >= last->first_phase + last->phases)
            continue;
        *ret_first = *ret_first < k ? *ret_first : k;
        *ret_end = k + 1;
    }
}

void sight_test(struct course *course)
{
    struct findings *findings = course->findings;
    measure_load(course);
    if (!find_runs(findings, &findings->test_first_run, &findings->test_last_run)) {
        no_test(findings);
        return;
    }
    findings->has_test = true;
    size_t first, end;
    test_legs(course, &first, &end);
    struct sight_amounts amounts;
    sight_amounts(course, first, end, &amounts);
    findings->test_ah = amounts.charge_ah;
    findings->test_wh = amounts.energy_wh;
    findings->test_mean_v = amounts.mean_v;
    findings->test_duration_s = amounts.duration_s;
    findings->test_start_s = findings->runs[findings->test_first_run].start_s;
    findings->test_end_s = findings->runs[findings->test_last_run].end_s;
    findings->test_mean_a = amounts.charge_ah.value / (amounts.duration_s.value / 3600);
    for (size_t k = first; k < end; k++)
        findings->order_only |= !course->leg[k].timed;
    measure_conditions(course);
    findings->tally_ah = check_tally(course, CHANNEL_CHARGE_TALLY, &amounts.tally_ah, &amounts.integral_ah);
    findings->tally_wh = check_tally(course, CHANNEL_ENERGY_TALLY, &amounts.tally_wh, &amounts.integral_wh);
    sight_capacities(course, first, end);
    findings->rated_ah = sight_crossing(course, first, end, false, course->asked->rated_ah);
    findings->rated_wh = sight_crossing(course, first, end, true, course->asked->rated_wh);
    sight_bursts(course);
    sight_conditions(course);
}
