/* Volts, resistance, efficiency, and what was weighed, measured or seen. */
#include "claims/rules.h"

#include "base/text.h"
#include "claims/conformity.h"
#include "numeric/budget.h"

#include <stdint.h>

static const struct effect no_effect = {0};

void rule_nominal_voltage(const struct evidence *evidence, const struct claim *claim, struct decision *decision)
{
    size_t main = evidence_main(evidence);
    if (main == SIZE_MAX) {
        snprintf(decision->reason, sizeof decision->reason, "no discharge in the readings");
        return;
    }
    const struct measure *mean = &evidence->findings[main].test_mean_v;
    decision->record = main;
    if (!measure_known(mean)) {
        snprintf(decision->reason, sizeof decision->reason, "cannot tell: %s", mean->why);
        return;
    }
    rule_hold(evidence, claim, mean, &no_effect, decision);
    snprintf(decision->reason, sizeof decision->reason,
             "mean volts under load, charge-weighted; a nominal voltage is a name, held to %.2g V",
             claim->tolerance);
    if (decision->verdict == VERDICT_TOO_CLOSE)
        rule_what_would_decide(claim, mean, decision);
}

/* The load at the end: a constant power draws more as the volts fall. */
static double end_amps(const struct findings *f, const struct run *run)
{
    const struct phase *last = run->phases > 0 ? &f->phases[run->first_phase + run->phases - 1] : NULL;
    double amps = last != NULL ? last->mean_a : run->mean_a;
    return last != NULL && last->mean_v > run->ended.end_v.value ? amps * last->mean_v / run->ended.end_v.value : amps;
}

/* What the cells showed together when the BMS opened by one of them: more than the terminals by what board, bars
 * and leads take, which is part of I·R, R at the first reading after a step, I the current of the end. */
static struct measure cells_at_end(const struct findings *f, const struct run *run, char *words, size_t size)
{
    double amps = end_amps(f, run), end_v = run->ended.end_v.value;
    double drop_v = amps * findings_first_ohm(f);
    if (!isfinite(drop_v)) {
        snprintf(words, size, "last volts under load; the cells, by which a BMS opens, stood higher by what nothing shows");
        return run->ended.end_v;
    }
    struct measure cells = measure_scale(&run->ended.end_v, 1);
    cells.value += drop_v / 2;
    measure_part(&cells, (struct part){CAUSE_LEADS, SHAPE_RECTANGULAR, drop_v / 2 / sqrt(3), INFINITY, 0,
                                       "between the cells and the terminals", "a small current near the end"});
    budget_close(&cells);
    snprintf(words, size, "%.4g V at the terminals, up to %.2f V more at the cells, by which a BMS opens", end_v, drop_v);
    return cells;
}

/* Readings by eye that end before the BMS opens bound the volts at which it did from above only. */
static void leave_open(struct decision *decision)
{
    decision->verdict = VERDICT_TOO_CLOSE;
    decision->conditions_open = true;
    snprintf(decision->reason, sizeof decision->reason,
             "last volts read under load; how far they fell until the BMS opened was not seen");
    snprintf(decision->would_decide, sizeof decision->would_decide, "volts read as the BMS opens");
}

/* The discharge that the BMS ended for an empty sample with the least between cells and terminals, one that was seen to
 * the end before others; NULL: none did. */
static const struct run *emptied(const struct evidence *evidence, size_t *ret_record)
{
    const struct run *best = NULL;
    double least_v = INFINITY;
    for (size_t r = 0; r < evidence->count; r++) {
        const struct findings *f = &evidence->findings[r];
        for (size_t k = 0; k < f->run_count; k++) {
            const struct run *run = &f->runs[k];
            bool low = run->kind == RUN_DISCHARGE && run->ended.by == ENDED_BMS && run->ended.low &&
                       measure_known(&run->ended.end_v) && !rule_tripped(f, run, evidence->label);
            double drop_v = end_amps(f, run) * findings_first_ohm(f);
            bool better = best == NULL || (best->ended.fell_unseen == run->ended.fell_unseen ? drop_v < least_v
                                                                                            : best->ended.fell_unseen);
            if (!low || !better)
                continue;
            best = run, least_v = isfinite(drop_v) ? drop_v : INFINITY;
            *ret_record = r;
        }
    }
    return best;
}

static void say_not_emptied(const struct evidence *evidence, struct decision *decision)
{
    const struct findings *f = &evidence->findings[decision->record];
    const struct run *last = &f->runs[f->test_last_run];
    const struct ending *ended = &last->ended;
    decision->verdict = VERDICT_NOT_EXERCISED;
    measure_print(&ended->end_v, "V", decision->found, sizeof decision->found);
    decision->reached = ended->end_v.value;
    if (rule_tripped(f, last, evidence->label))
        snprintf(decision->reason, sizeof decision->reason, "the BMS opened in a burst, for the current and not for an empty sample");
    else if (ended->by == ENDED_BMS)
        snprintf(decision->reason, sizeof decision->reason, "the BMS opened, though not for an empty sample");
    else
        snprintf(decision->reason, sizeof decision->reason, "the discharge ended without the BMS opening: %s", ended_by_name(ended->by));
    snprintf(decision->would_decide, sizeof decision->would_decide, "a discharge at the base load until the BMS opens");
}

void rule_cut_off_voltage(const struct evidence *evidence, const struct claim *claim, struct decision *decision)
{
    size_t record = evidence_main(evidence);
    const struct run *run = emptied(evidence, &record);
    if (record == SIZE_MAX) {
        snprintf(decision->reason, sizeof decision->reason, "no discharge in the readings");
        return;
    }
    decision->record = record;
    if (run == NULL) {
        say_not_emptied(evidence, decision);
        return;
    }
    struct measure cells = cells_at_end(&evidence->findings[record], run, decision->reason, sizeof decision->reason);
    struct effect unknown = {.hi = cells.value > run->ended.end_v.value ? 0 : INFINITY};
    rule_hold(evidence, claim, &cells, &unknown, decision);
    if (decision->verdict == VERDICT_TOO_CLOSE)
        snprintf(decision->would_decide, sizeof decision->would_decide, "a small current until the BMS opens");
    if (run->ended.fell_unseen && decision->verdict == VERDICT_MET)
        leave_open(decision);
}

void rule_resistance(const struct evidence *evidence, const struct claim *claim, struct decision *decision)
{
    const struct measure *best = NULL;
    double delay_s = NAN;
    for (size_t r = 0; r < evidence->count; r++) {
        const struct findings *f = &evidence->findings[r];
        for (size_t k = 0; k < f->step_count; k++) {
            const struct resistance *first = &f->steps[k].resistance[0];
            if (f->steps[k].resistances == 0 || !measure_known(&first->ohm))
                continue;
            if (best != NULL && first->ohm.u / first->ohm.value >= best->u / best->value)
                continue;
            best = &first->ohm, delay_s = first->delay_s;
            decision->record = r;
        }
    }
    if (best == NULL) {
        snprintf(decision->reason, sizeof decision->reason, "no step of current that gives a resistance");
        return;
    }
    rule_hold(evidence, claim, best, &no_effect, decision);
    if (decision->verdict == VERDICT_NOT_MET)
        decision->verdict = VERDICT_TOO_CLOSE; /* an a.c. figure at 1 kHz is smaller by nature */
    snprintf(decision->reason, sizeof decision->reason,
             "direct-current resistance %.2g s after a step, leads included as the rig says; a figure taken with "
             "alternating current is smaller by nature",
             delay_s);
    if (decision->verdict == VERDICT_TOO_CLOSE)
        snprintf(decision->would_decide, sizeof decision->would_decide,
                 "the conditions of the stated resistance: delay and current, or frequency");
}

void rule_efficiency(const struct evidence *evidence, const struct claim *claim, struct decision *decision)
{
    for (size_t r = 0; r < evidence->count; r++) {
        const struct measure *m = &evidence->findings[r].efficiency_energy;
        if (!measure_known(m)) {
            snprintf(decision->reason, sizeof decision->reason, "cannot tell: %s", m->why);
            continue;
        }
        decision->record = r;
        rule_hold(evidence, claim, m, &no_effect, decision);
        snprintf(decision->reason, sizeof decision->reason, "energy, over the closed cycle in the readings");
        return;
    }
}

void rule_cycle_life(const struct evidence *evidence, const struct claim *claim, struct decision *decision)
{
    (void)evidence, (void)claim;
    snprintf(decision->reason, sizeof decision->reason, "one discharge says nothing about it");
}

static const struct noted *find_noted(const struct label *label, const char *slug)
{
    for (size_t k = 0; k < label->noted_count; k++)
        if (strcmp(label->noted[k].slug, slug) == 0)
            return &label->noted[k];
    return NULL;
}

void rule_measured(const struct evidence *evidence, const struct claim *claim, const struct measure *measure,
                   const char *where, struct decision *decision)
{
    rule_hold(evidence, claim, measure, &no_effect, decision);
    char by[48];
    struct measure difference = measure_of(fabs(measure->value - claim->stated));
    difference.lo = difference.value - 0.5 * (measure->hi - measure->lo);
    difference.hi = difference.value + 0.5 * (measure->hi - measure->lo);
    measure_print_in(&difference, claim->quantity, by, sizeof by);
    snprintf(decision->reason, sizeof decision->reason, "%s %s%s%s", by, measure->value > claim->stated ? "over" : "under",
             where[0] != '\0' ? ", " : "", where);
    if (decision->verdict == VERDICT_TOO_CLOSE)
        rule_what_would_decide(claim, measure, decision);
}

void rule_noted(const struct evidence *evidence, const struct claim *claim, struct decision *decision)
{
    const struct noted *noted = find_noted(evidence->label, claim->slug);
    if (noted == NULL) {
        snprintf(decision->reason, sizeof decision->reason, "not looked at");
        return;
    }
    const char *gap = noted->where[0] != '\0' ? ", " : "";
    if (noted->answer >= 0) {
        decision->verdict = noted->answer == 1 ? VERDICT_MET : VERDICT_NOT_MET;
        snprintf(decision->found, sizeof decision->found, "%s", noted->answer == 1 ? "seen" : "seen not to");
        snprintf(decision->reason, sizeof decision->reason, "%s%s%s", noted->words, gap, noted->where);
        return;
    }
    if (!measure_known(&noted->measure) || isnan(claim->stated)) {
        snprintf(decision->reason, sizeof decision->reason, "noted without a value to hold it against");
        return;
    }
    rule_measured(evidence, claim, &noted->measure, noted->where, decision);
}
