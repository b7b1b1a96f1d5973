#include "battery/examine.h"

#include "base/memory.h"
#include "battery/beginning.h"
#include "battery/burst.h"
#include "battery/capacity.h"
#include "battery/conditions.h"
#include "battery/crossing.h"
#include "battery/doubts.h"
#include "battery/edges.h"
#include "battery/efficiency.h"
#include "battery/ending.h"
#include "battery/fullness.h"
#include "battery/load_law.h"
#include "battery/protections.h"
#include "battery/pulse_pair.h"
#include "battery/resistance.h"
#include "battery/ripple.h"
#include "battery/segment.h"
#include "battery/tally.h"
#include "numeric/budget.h"

/* What one examination works with. */
struct work {
    const struct series *series;
    const struct rig *rig;
    const struct asked *asked;
    struct trace trace;
    struct ledger ledger;
    struct basis basis;
    struct throughput *throughs; /* of the runs */
    struct findings findings;
    struct notices *notices;
};

static void release(struct work *work)
{
    free(work->throughs);
    ledger_free(&work->ledger);
    trace_free(&work->trace);
}

static enum status too_long(struct message *message)
{
    status_fail(message, STATUS_LIMIT, "the log does not fit into memory");
    return status_remedy(message, "Leave out columns or thin the log");
}

/* Trace, runs, phases, steps and the ledger. */
static enum status prepare(struct work *work, struct message *message)
{
    if (!trace_of_series(work->series, &work->trace))
        return too_long(message);
    if (work->trace.a == NULL) {
        status_fail(message, STATUS_UNREADABLE, "the log has neither a current nor power with volts");
        return status_remedy(message, "Name the column with --column current=NAME");
    }
    if (work->trace.count < 2) {
        status_fail(message, STATUS_UNREADABLE, "fewer than two readings hold all that is needed");
        return status_remedy(message, "Check which columns were taken for volts and amps");
    }
    if (!segment(&work->trace, work->rig, &work->findings, work->notices) ||
        !ledger_init(&work->ledger, &work->trace))
        return too_long(message);
    endings_find(work->series, &work->trace, work->rig, work->asked, &work->findings);
    edges_place(&work->trace, &work->findings);
    resistance_find(work->series, &work->trace, work->rig, &work->findings);
    pulse_pairs_find(work->series, &work->trace, work->rig, work->asked, &work->findings);
    return STATUS_OK;
}

static void take_temperature(const struct work *work, struct run *run)
{
    const double *degc = work->series->column[CHANNEL_TEMPERATURE];
    run->degc_mean = run->degc_min = run->degc_max = NAN;
    if (degc == NULL)
        return;
    const size_t *row = work->trace.row;
    size_t first = row != NULL ? row[run->first] : run->first,
           last = row != NULL ? row[run->last] : run->last;
    double sum = 0, count = 0, lo = INFINITY, hi = -INFINITY;
    for (size_t k = first; k <= last; k++) {
        bool there = degc[k] == degc[k];
        sum += there ? degc[k] : 0;
        count += there;
        lo = degc[k] < lo ? degc[k] : lo;
        hi = degc[k] > hi ? degc[k] : hi;
    }
    if (count > 0)
        run->degc_mean = sum / count, run->degc_min = lo, run->degc_max = hi;
}

static void measure_run(struct work *work, size_t index)
{
    struct run *run = &work->findings.runs[index];
    const struct throughput *through = &work->throughs[index];
    int direction = run->kind == RUN_CHARGE ? -1 : 1;
    run->charge_ah = throughput_charge_ah(&work->basis, through, direction);
    run->energy_wh = throughput_energy_wh(&work->basis, through, direction);
    run->mean_v = throughput_mean_v(&work->basis, through);
    run->duration_s = throughput_duration_s(&work->basis, through);
    take_temperature(work, run);
}

static void gather_runs(struct work *work)
{
    const struct findings *findings = &work->findings;
    work->throughs = memory_get((findings->run_count + 1) * sizeof *work->throughs);
    for (size_t k = 0; k < findings->run_count; k++) {
        const struct run *run = &findings->runs[k];
        work->throughs[k] = throughput_over(&work->basis, run->first, run->last, run->start_s, run->end_s);
    }
}

static void measure_totals(struct work *work)
{
    struct findings *findings = &work->findings;
    struct throughput out = {0}, in = {0};
    for (size_t k = 0; k < findings->run_count; k++) {
        if (findings->runs[k].kind == RUN_DISCHARGE)
            throughput_add(&out, &work->throughs[k]);
        if (findings->runs[k].kind == RUN_CHARGE)
            throughput_add(&in, &work->throughs[k]);
    }
    findings->discharge_ah = throughput_charge_ah(&work->basis, &out, 1);
    findings->discharge_wh = throughput_energy_wh(&work->basis, &out, 1);
    findings->charge_ah = throughput_charge_ah(&work->basis, &in, -1);
    findings->charge_wh = throughput_energy_wh(&work->basis, &in, -1);
}

/* All that is read from a test, when there is none. */
static void no_test(struct findings *findings)
{
    struct measure none = measure_unknown("the log holds no discharge");
    findings->test_ah = findings->test_wh = findings->test_mean_v = findings->test_duration_s = none;
    findings->efficiency_charge = findings->efficiency_energy = none;
    findings->rated_ah = findings->rated_wh = (struct crossing){.rated = NAN, .at_s = none, .volts = NAN};
    findings->tally_ah = findings->tally_wh =
        (struct tally_check){.tally = none, .integral = none, .e_n = NAN, .event_s = NAN};
    findings->load = (struct load_finding){.exponent = none, .law = LOAD_UNKNOWN, .level = NAN};
    findings->test_start_s = findings->test_end_s = NAN;
    findings->test_mean_a = findings->test_peak_a = findings->test_degc = NAN;
    findings->full_before = NAN;
}

static void measure_test(struct work *work, const struct delivery *delivery)
{
    struct findings *findings = &work->findings;
    const struct run *first = &findings->runs[delivery->first], *last = &findings->runs[delivery->last];
    struct throughput whole = delivery_whole(delivery);
    findings->test_start_s = first->start_s;
    findings->test_end_s = last->end_s;
    findings->test_ah = throughput_charge_ah(&work->basis, &whole, 1);
    findings->test_wh = throughput_energy_wh(&work->basis, &whole, 1);
    findings->test_mean_v = throughput_mean_v(&work->basis, &whole);
    struct throughput span =
        throughput_over(&work->basis, first->first, last->last, first->start_s, last->end_s);
    findings->test_duration_s = throughput_duration_s(&work->basis, &span);
    double loaded_s = 0, degc_s = 0, degc = 0;
    findings->test_peak_a = 0;
    for (size_t k = delivery->first; k <= delivery->last; k++) {
        const struct run *run = &findings->runs[k];
        double duration = run->end_s - run->start_s;
        if (run->kind == RUN_DISCHARGE) {
            loaded_s += duration;
            findings->test_peak_a = fmax(findings->test_peak_a, run->peak_a);
        }
        if (isfinite(run->degc_mean)) {
            degc += run->degc_mean * duration;
            degc_s += duration;
        }
    }
    findings->test_mean_a = whole.sums.charge_c / loaded_s;
    findings->test_degc = degc_s > 0 ? degc / degc_s : NAN;
}

/* What a charger pushed into a sample that its BMS had shut, before anything was drawn again. Where that
 * became a whole charge, nothing tells the waking from it. */
static struct measure wake_of(const struct work *work, const struct delivery *delivery)
{
    const struct findings *findings = &work->findings;
    const struct run *last = &findings->runs[delivery->last];
    if (last->ended.by != ENDED_BMS && !last->ended.dark)
        return measure_unknown("the test did not end with the BMS open");
    struct throughput in = {0};
    for (size_t k = delivery->last + 1; k < findings->run_count && findings->runs[k].kind != RUN_DISCHARGE;
         k++)
        if (findings->runs[k].kind == RUN_CHARGE)
            throughput_add(&in, &work->throughs[k]);
    struct measure wake = throughput_charge_ah(&work->basis, &in, -1);
    if (wake.value > 0.25 * findings->test_ah.value)
        return measure_unknown(
            "the sample was charged after the test, and nothing tells the waking from that");
    return wake;
}

/* Mean of a temperature column over the test; NaN without one. */
static double mean_degc(const struct delivery *delivery, enum channel channel)
{
    const struct basis *basis = delivery->basis;
    const double *degc = basis->series->column[channel];
    size_t first = delivery->runs[delivery->first].first, last = delivery->runs[delivery->last].last;
    if (basis->trace->row != NULL)
        first = basis->trace->row[first], last = basis->trace->row[last];
    double sum = 0, count = 0;
    for (size_t k = first; k <= last && degc != NULL; k++) {
        bool there = degc[k] == degc[k];
        sum += there ? degc[k] : 0;
        count += there;
    }
    return count > 0 ? sum / count : NAN;
}

static void examine_test(struct work *work, const struct delivery *delivery)
{
    struct findings *findings = &work->findings;
    measure_test(work, delivery);
    findings->beginning_unseen = beginning_unseen(delivery, findings);
    capacity_find(delivery, work->asked, findings, work->notices);
    findings->rated_ah = crossing_find(delivery, false, work->asked->rated_ah);
    findings->rated_wh = crossing_find(delivery, true, work->asked->rated_wh);
    findings->wake_ah = wake_of(work, delivery);
    findings->tally_ah = tally_check(delivery, false);
    findings->tally_wh = tally_check(delivery, true);
    fullness_find(findings);
    efficiency_find(findings);
    conditions_find(work->asked, mean_degc(delivery, CHANNEL_AMBIENT), findings);
    bursts_find(work->series, &work->trace, work->rig, findings, work->notices);
}

static void *kept(const void *found, size_t count, size_t size)
{
    void *copy = count > 0 ? memory_get(count * size) : NULL;
    if (count > 0)
        memcpy(copy, found, count * size);
    return copy;
}

/* While a charger holds the volts, the current that dies away is the pack's own settling. What the volts do as the rest of it
 * stops is that too, and many times what a resistance would make of so few amperes. */
static void bar_held_volts(const struct charging *charging, struct findings *f)
{
    for (size_t k = 0; k < f->step_count; k++) {
        struct step *step = &f->steps[k];
        double since_s = step->at_s - charging->held_to_s;
        for (int j = 0; since_s >= 0 && since_s <= 2 * charging->every_s && j < step->resistances; j++)
            step->resistance[j].ohm = measure_unknown("the charger held the volts before, while the current died away: what they do "
                                                      "afterwards is settling, no resistance");
    }
}

/* What charges and rests show; the arrays are too large for the stack. */
static void find_chargings(struct work *work)
{
    struct findings *f = &work->findings;
    struct charging *chargings = memory_get(CHARGINGS * sizeof *chargings);
    f->charging_count = charging_find(&work->basis, work->asked, f, chargings);
    f->chargings = kept(chargings, f->charging_count, sizeof *chargings);
    free(chargings);
    for (size_t k = 0; k < f->charging_count; k++)
        bar_held_volts(&f->chargings[k], f);
    struct resting *restings = memory_get(RESTINGS * sizeof *restings);
    f->resting_count = resting_find(&work->basis, work->asked, f, restings);
    f->restings = kept(restings, f->resting_count, sizeof *restings);
    free(restings);
}

static void examine(struct work *work)
{
    struct findings *findings = &work->findings;
    gather_runs(work);
    struct delivery delivery = {.basis = &work->basis, .runs = findings->runs, .throughs = work->throughs};
    findings->has_test =
        delivery_find(findings->runs, work->throughs, findings->run_count, &delivery.first, &delivery.last);
    findings->test_first_run = delivery.first;
    findings->test_last_run = delivery.last;
    no_test(findings);
    findings->wake_ah = findings->test_ah;
    if (findings->has_test) {
        findings->load = load_law_find(&delivery, findings);
        work->basis.ripple = findings->ripple = ripple_find(work->rig, work->asked, findings, work->notices);
    }
    for (size_t k = 0; k < findings->run_count; k++)
        measure_run(work, k);
    measure_totals(work);
    find_chargings(work);
    if (findings->has_test)
        examine_test(work, &delivery);
    protections_of_series(work->series, work->rig, work->asked, findings);
    doubts_say(&work->basis, findings, work->throughs, work->notices);
}

enum status examine_series(const struct series *series, const struct rig *rig, const struct asked *asked,
                           struct findings *ret_findings, struct notices *notices, struct message *message)
{
    struct work work = {.series = series, .rig = rig, .asked = asked, .notices = notices};
    enum status status = prepare(&work, message);
    if (status == STATUS_OK) {
        work.basis = (struct basis){
            .series = series,
            .trace = &work.trace,
            .ledger = &work.ledger,
            .rig = rig,
            .steps = work.findings.steps,
            .step_count = work.findings.step_count,
            .noise_a = work.findings.noise_a,
            .noise_v = work.findings.noise_v,
        };
        examine(&work);
        *ret_findings = work.findings;
    } else {
        findings_free(&work.findings);
    }
    release(&work);
    return status;
}
