#include "report/explain.h"

#include "base/nearest.h"
#include "base/number.h"
#include "report/reply.h"

#include <stdint.h>

int budget_order(const struct measure *measure, int ret_order[MEASURE_PARTS], double ret_share[MEASURE_PARTS])
{
    double total = 0;
    for (int k = 0; k < measure->count; k++)
        total += measure->parts[k].u * measure->parts[k].u;
    for (int k = 0; k < measure->count; k++) {
        int at = k;
        while (at > 0 && fabs(measure->parts[ret_order[at - 1]].u) < fabs(measure->parts[k].u)) {
            ret_order[at] = ret_order[at - 1];
            at--;
        }
        ret_order[at] = k;
    }
    for (int k = 0; k < measure->count; k++)
        ret_share[k] = total > 0 ? pow(measure->parts[ret_order[k]].u, 2) / total : 0;
    return measure->count;
}

void explain_budget(const struct measure *measure, const char *symbol, struct text *text)
{
    static const char *const shapes[] = {"normal", "rectangular", "triangular", "arcsine", "t"};
    int order[MEASURE_PARTS];
    double share[MEASURE_PARTS];
    int count = budget_order(measure, order, share);
    if (count == 0)
        return;
    text_addf(text, "\n  budget: share, standard uncertainty, cause\n");
    for (int k = 0; k < count; k++) {
        const struct part *part = &measure->parts[order[k]];
        char u[32];
        number_print(fabs(part->u), fabs(part->u), u, sizeof u);
        text_addf(text, "  %5.1f %%  %10s %-3s %s, %s%s%s%s\n", 100 * share[k], u, symbol,
                  part->what != NULL && part->what[0] != '\0' ? part->what : cause_name(part->cause),
                  shapes[part->shape], part->source != 0 ? "; shared by all values from this rig" : "",
                  k == 0 && part->remedy != NULL && part->remedy[0] != '\0' ? "; what would shrink it: " : "",
                  k == 0 && part->remedy != NULL ? part->remedy : "");
    }
    char dof[32] = "unlimited";
    if (isfinite(measure->dof))
        snprintf(dof, sizeof dof, "%.0f", measure->dof);
    char u[32];
    number_print(measure->u, measure->u, u, sizeof u);
    text_addf(text, "  together: standard uncertainty %s %s, degrees of freedom %s\n", u, symbol, dof);
}

static void say_measure(const char *name, const struct measure *m, const char *symbol, struct text *text)
{
    char value[64], lo[32], hi[32];
    if (!measure_known(m)) {
        text_addf(text, "%s: cannot tell: %s\n", name, m->why);
        return;
    }
    measure_print(m, symbol, value, sizeof value);
    number_print(m->lo, m->u, lo, sizeof lo);
    number_print(m->hi, m->u, hi, sizeof hi);
    text_addf(text, "%s: %s (95 %% interval %s to %s)\n", name, value, lo, hi);
    explain_budget(m, symbol, text);
}

static void say_source(const struct assessment *assessment, const struct record *record, struct text *text)
{
    const struct findings *f = &record->findings;
    text_addf(text, "\nfrom %s", record->path);
    if (record->by_eye) {
        text_addf(text, ": %zu instants read by eye%s\n", record->sightings.count,
                  f->order_only ? ", known by their order only" : "");
    } else {
        const struct log *log = &record->log;
        text_addf(text, ": %zu readings from line %ld, one every %.3g s; %zu rows left out\n", log->series.count,
                  log->first_line, f->period_s, log->bad_count);
        for (size_t k = 0; k < log->column_count; k++)
            if (log->columns[k].role != COLUMN_UNUSED)
                text_addf(text, "  column %d '%s': %s\n", log->columns[k].number, log->columns[k].header,
                          log->columns[k].why);
        text_addf(text, "  current: %s\n", record->direction.why);
    }
    text_addf(text, "rig: %s\n", assessment->rig.name);
    for (int c = CHANNEL_VOLTAGE; c <= CHANNEL_CURRENT; c++)
        text_addf(text, "  %s: %s\n", channel_name((enum channel)c), assessment->rig.of[c].as_printed);
}

static void say_test(const struct findings *f, struct text *text)
{
    char start[32], end[32];
    number_print_duration(f->test_start_s, start, sizeof start);
    number_print_duration(f->test_end_s, end, sizeof end);
    text_addf(text, "the test: runs %zu to %zu, from %s to %s\n", f->test_first_run + 1, f->test_last_run + 1, start,
              end);
    for (size_t k = f->test_first_run; k <= f->test_last_run && k < f->test_first_run + 12; k++) {
        const struct run *run = &f->runs[k];
        char ah[64], wh[64];
        measure_print(&run->charge_ah, "Ah", ah, sizeof ah);
        measure_print(&run->energy_wh, "Wh", wh, sizeof wh);
        text_addf(text, "  run %zu, %s: %s, %s\n", k + 1, run_kind_name(run->kind), ah, wh);
    }
}

static void explain_amount(const struct record *record, const char *what, struct text *text)
{
    const struct findings *f = &record->findings;
    if (strcmp(what, "charge") == 0)
        say_measure("charge delivered, ∫I dt, exact for straight lines between readings", &f->test_ah, "Ah", text);
    else if (strcmp(what, "energy") == 0)
        say_measure("energy delivered, ∫V·I dt, exact for straight lines between readings", &f->test_wh, "Wh", text);
    else
        say_measure("mean voltage, energy over charge", &f->test_mean_v, "V", text);
    say_test(f, text);
}

static void explain_resistance(const struct record *record, struct text *text)
{
    const struct findings *f = &record->findings;
    text_addf(text, "direct-current resistance at %zu steps: the change of volts, with the slope before the step taken "
                    "out, over the change of amps\n", f->step_count);
    for (size_t k = 0; k < f->step_count && k < 60; k++) {
        const struct step *step = &f->steps[k];
        char at[32];
        number_print_duration(step->at_s, at, sizeof at);
        text_addf(text, "  at %s, %.4g to %.4g A:", at, step->from_a, step->to_a);
        for (int j = 0; j < step->resistances; j++) {
            const struct measure *m = &step->resistance[j].ohm;
            char ohm[64];
            measure_print_in(m, QUANTITY_RESISTANCE, ohm, sizeof ohm);
            text_addf(text, "%s %s after %.3g s", j > 0 ? "," : "", ohm, step->resistance[j].delay_s);
            if (!measure_known(m))
                text_addf(text, " (%s)", m->why);
        }
        text_add(text, step->resistances == 0 ? " none\n" : "\n");
    }
    for (size_t k = 0; k < f->pair_count; k++) {
        char ohm[64];
        measure_print_in(&f->pairs[k].ohm, QUANTITY_RESISTANCE, ohm, sizeof ohm);
        text_addf(text, "  pulse pair %.4g and %.4g A: %s %s\n", f->pairs[k].i1_a, f->pairs[k].i2_a, ohm,
                  f->pairs[k].deviation);
    }
}

static void explain_burst(const struct record *record, struct text *text)
{
    const struct findings *f = &record->findings;
    if (f->burst_count == 0)
        text_add(text, "no burst in the readings: no stretch of higher current between two of one base load\n");
    for (size_t k = 0; k < f->burst_count; k++) {
        const struct burst *b = &f->bursts[k];
        text_addf(text, "burst %zu: %.4g A over a base of %.4g A; %.3f V below the carried base at its end\n", k + 1,
                  b->current_a, b->base_a, b->sag_v);
        say_measure("cost, ∫(V_base(q) − V(q)) dq over burst and recovery", &b->cost_wh, "Wh", text);
        text_addf(text, "beside it, Q·R·ΔI: %.3g Wh. In charge: %s\n", b->check_wh, b->charge_bound);
    }
}

static void explain_ending(const struct record *record, struct text *text)
{
    const struct findings *f = &record->findings;
    for (size_t k = 0; k < f->run_count && k < 60; k++) {
        const struct run *run = &f->runs[k];
        char end[32];
        number_print_duration(run->end_s, end, sizeof end);
        text_addf(text, "run %zu, %s, until %s: %s. %s\n", k + 1, run_kind_name(run->kind), end,
                  ended_by_name(run->ended.by), run->ended.evidence);
    }
    if (f->has_test)
        say_measure("volts at the end of the test, last reading under load", &f->runs[f->test_last_run].ended.end_v, "V",
                    text);
}

static void explain_tally(const struct record *record, struct text *text)
{
    const struct findings *f = &record->findings;
    const struct tally_check *both[] = {&f->tally_ah, &f->tally_wh};
    static const char *const symbols[] = {"Ah", "Wh"};
    for (int k = 0; k < 2; k++) {
        if (!both[k]->present) {
            text_addf(text, "no tally of %s in the readings\n", symbols[k]);
            continue;
        }
        say_measure("the meter's tally", &both[k]->tally, symbols[k], text);
        say_measure("the integral over the same stretch", &both[k]->integral, symbols[k], text);
        text_addf(text, "E_n %.2f, from the parts the two do not share: %s\n", both[k]->e_n, both[k]->words);
    }
}

static void explain_conditions(const struct record *record, struct text *text)
{
    const struct findings *f = &record->findings;
    for (int k = 0; k < f->condition_count; k++) {
        const struct condition *c = &f->conditions[k];
        text_addf(text, "%s: was %s; the standards ask %s. %s\n", c->name, c->was, c->asked_for, c->words);
    }
    text_addf(text, "full before: %s\n", f->full_words);
}

static void explain_load(const struct record *record, struct text *text)
{
    text_addf(text, "%s\n", record->findings.load.words);
    say_measure("exponent n in I ∝ V^n", &record->findings.load.exponent, "", text);
}

static const char *const findings_known[] = {"charge", "energy", "mean-voltage", "resistance", "burst", "load",
                                             "ending", "tally", "conditions", "rate", NULL};

static void explain_known(const struct assessment *assessment, const struct record *record, int which, struct text *text)
{
    static void (*const rest[])(const struct record *, struct text *) = {
        explain_resistance, explain_burst, explain_load, explain_ending, explain_tally, explain_conditions};
    if (which < 3)
        explain_amount(record, findings_known[which], text);
    else if (which < 9)
        rest[which - 3](record, text);
    else
        text_addf(text, "%s\n", assessment->peukert.words);
    say_source(assessment, record, text);
}

static void explain_claim(const struct assessment *assessment, const struct decision *d, struct text *text)
{
    const struct claim *claim = d->claim;
    text_addf(text, "%s: %s", claim->name, claim->as_stated);
    if (claim->where[0] != '\0')
        text_addf(text, " (%s)", claim->where);
    text_addf(text, "\nverdict: %s", verdict_name(d->verdict));
    if (!isnan(d->probability))
        text_addf(text, ", probability of conformity %.4f; decided at %.3f (JCGM 106)", d->probability,
                  assessment->decide);
    text_addf(text, "\n%s%s%s\n", d->reason, d->would_decide[0] != '\0' ? "\nwould decide it: " : "", d->would_decide);
    say_measure("measured", &d->measured, quantity_symbol(claim->quantity), text);
    if (d->record == SIZE_MAX)
        return;
    const struct record *record = &assessment->records[d->record];
    if (record->findings.has_test)
        say_test(&record->findings, text);
    say_source(assessment, record, text);
}

enum status explain_finding(const struct assessment *assessment, const char *finding, struct text *text,
                            struct message *message)
{
    int which = name_find(span_of(finding), findings_known);
    const struct decision *d = reply_find(assessment, finding);
    const struct record *main = assessment_main(assessment);
    if (which >= 0 && d == NULL) {
        if (main == NULL)
            text_add(text, "the readings hold no discharge\n");
        else
            explain_known(assessment, main, which, text);
        return STATUS_OK;
    }
    if (d != NULL) {
        explain_claim(assessment, d, text);
        return STATUS_OK;
    }
    char known[300];
    name_list(findings_known, known, sizeof known);
    status_fail(message, STATUS_USAGE, "there is no finding '%s'", finding);
    return status_remedy(message, "use a claim of the label, or one of %s", known);
}
