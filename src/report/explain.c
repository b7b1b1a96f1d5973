#include "report/explain.h"

#include "base/nearest.h"
#include "base/number.h"
#include "report/account.h"
#include "report/lines.h"
#include "report/reply.h"

#include <stdint.h>

enum { MOST = 60 }; /* steps or runs that are listed */

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

/* Where the words go, and how wide. */
struct page {
    struct text *text;
    int width;
};

static void say(const struct page *page, const char *words)
{
    lines_wrap(words, 0, page->width, page->text);
}

static void say_listing(const struct page *page, struct listing *rows)
{
    lines_listing(rows, page->width, page->text);
    listing_free(rows);
}

/* Value, interval and budget, in the unit that people write. */
static void say_measure(const struct page *page, const char *name, const struct measure *m, enum quantity quantity)
{
    if (!measure_known(m)) {
        text_addf(page->text, "%s: cannot tell: %s\n", name, m->why);
        return;
    }
    double factor;
    const char *symbol = quantity_shown(quantity, &factor);
    struct measure shown = measure_scale(m, factor);
    shown.u = m->u * factor, shown.dof = m->dof;
    shown.lo = m->lo * factor, shown.hi = m->hi * factor;
    char value[64], lo[32], hi[32];
    measure_print(&shown, symbol, value, sizeof value);
    number_print(shown.lo, 0.5 * (shown.hi - shown.lo), lo, sizeof lo);
    number_print(shown.hi, 0.5 * (shown.hi - shown.lo), hi, sizeof hi);
    text_addf(page->text, "%s: %s (95 %% interval %s to %s)\n", name, value, lo, hi);
    if (shown.count == 0)
        return;
    text_add(page->text, "\nits uncertainty, by share of the variance\n");
    struct listing rows = listing_of(3);
    account_budget(&shown, symbol, false, &rows);
    say_listing(page, &rows);
    struct text largest = TEXT_EMPTY;
    account_largest(&shown, &largest);
    text_add(page->text, "the largest: ");
    lines_wrap(text_string(&largest), 13, page->width, page->text);
    text_free(&largest);
}

static void say_log(const struct page *page, const struct record *record)
{
    const struct log *log = &record->log;
    text_addf(page->text, ": %zu readings from line %ld, one every %.3g s; %zu rows left out\n", log->series.count,
              log->first_line, record->findings.period_s, log->bad_count);
    for (size_t k = 0; k < log->column_count; k++)
        if (log->columns[k].role != COLUMN_UNUSED)
            text_addf(page->text, "  column %d '%s': %s\n", log->columns[k].number, log->columns[k].header,
                      log->columns[k].why);
    text_addf(page->text, "  current: %s\n", record->direction.why);
}

static void say_source(const struct page *page, const struct assessment *assessment, const struct record *record)
{
    text_addf(page->text, "\nfrom %s", record->path);
    if (record->by_eye)
        text_addf(page->text, ": %zu instants read by eye%s\n", record->sightings.count,
                  record->findings.order_only ? ", known by their order only" : "");
    else
        say_log(page, record);
    text_addf(page->text, "rig: %s\n", assessment->rig.name);
    for (int c = CHANNEL_VOLTAGE; c <= CHANNEL_CURRENT; c++)
        text_addf(page->text, "  %s: %s\n", channel_name((enum channel)c), assessment->rig.of[c].as_printed);
}

static void say_test(const struct page *page, const struct findings *f)
{
    if (!f->has_test) {
        text_add(page->text, "the readings hold no discharge\n");
        return;
    }
    char start[32], end[32];
    number_print_duration(f->test_start_s, start, sizeof start);
    number_print_duration(f->test_end_s, end, sizeof end);
    if (f->test_last_run > f->test_first_run)
        text_addf(page->text, "\nthe test: runs %zu to %zu, from %s to %s\n", f->test_first_run + 1, f->test_last_run + 1,
                  start, end);
    else
        text_addf(page->text, "\nthe test: run %zu, from %s to %s\n", f->test_first_run + 1, start, end);
    struct listing rows = listing_of(4);
    for (size_t k = f->test_first_run; k <= f->test_last_run && k < f->test_first_run + MOST; k++) {
        const struct run *run = &f->runs[k];
        char ah[64], wh[64];
        measure_print(&run->charge_ah, "Ah", ah, sizeof ah);
        measure_print(&run->energy_wh, "Wh", wh, sizeof wh);
        listing_add(&rows, "run %zu", k + 1);
        listing_add(&rows, "%s", run_kind_name(run->kind));
        listing_add(&rows, "%s", ah);
        listing_add(&rows, "%s", wh);
    }
    say_listing(page, &rows);
}

static void explain_amount(const struct page *page, const struct record *record, const char *what,
                           const struct measure *measure, enum quantity quantity)
{
    const struct findings *f = &record->findings;
    if (f->has_test)
        say_measure(page, what, measure, quantity);
    say_test(page, f);
    if (f->capacity_count == 0)
        return;
    text_add(page->text, "\ndown to each cut-off: Ah, Wh, time since the load went on\n");
    struct listing rows = listing_of(4);
    account_cut_offs(f, &rows);
    say_listing(page, &rows);
}

static void explain_charge(const struct page *page, const struct record *record)
{
    explain_amount(page, record, "charge delivered, ∫I dt", &record->findings.test_ah, QUANTITY_CHARGE);
}

static void explain_energy(const struct page *page, const struct record *record)
{
    explain_amount(page, record, "energy delivered, ∫V·I dt", &record->findings.test_wh, QUANTITY_ENERGY);
}

static void explain_mean_voltage(const struct page *page, const struct record *record)
{
    if (record->findings.has_test)
        say_measure(page, "mean voltage, energy over charge", &record->findings.test_mean_v, QUANTITY_VOLTAGE);
    say_test(page, &record->findings);
}

static void explain_resistance(const struct page *page, const struct record *record)
{
    struct listing steps = listing_of(5), pairs = listing_of(3);
    size_t more = account_resistances(&record->findings, MOST, &steps);
    account_pulse_pairs(&record->findings, &pairs);
    say(page, "direct-current resistance: the change of volts at a step, with the slope before it taken out, over the change "
              "of amps");
    if (listing_rows(&steps) > 0)
        text_add(page->text, "step, then mΩ at the first reading after it, after 1 s, 10 s and 30 s\n");
    else
        text_add(page->text, "no step in the readings gives one\n");
    say_listing(page, &steps);
    if (more > 0)
        text_addf(page->text, "and %zu smaller steps\n", more);
    if (listing_rows(&pairs) > 0)
        text_add(page->text, "by a pulse pair, as in IEC 61960-3 and IEC 62620\n");
    say_listing(page, &pairs);
}

static void explain_burst(const struct page *page, const struct record *record)
{
    const struct findings *f = &record->findings;
    if (f->burst_count == 0)
        say(page, "no burst in the readings: no stretch of higher current between two of one base load");
    struct listing rows = listing_of(2);
    account_bursts(f, false, &rows);
    say_listing(page, &rows);
    for (size_t k = 0; k < f->burst_count && k < MOST; k++)
        say_measure(page, "\ncost, ∫(V_base(q) − V(q)) dq over burst and recovery", &f->bursts[k].cost_wh, QUANTITY_ENERGY);
}

static void explain_load(const struct page *page, const struct record *record)
{
    say(page, record->findings.load.words);
    say_measure(page, "exponent n in I ∝ V^n", &record->findings.load.exponent, QUANTITY_NONE);
}

static void explain_ending(const struct page *page, const struct record *record)
{
    const struct findings *f = &record->findings;
    struct listing rows = listing_of(4);
    for (size_t k = 0; k < f->run_count && k < MOST; k++) {
        const struct run *run = &f->runs[k];
        char end[32];
        number_print_duration(run->end_s, end, sizeof end);
        listing_add(&rows, "run %zu", k + 1);
        listing_add(&rows, "%s", run_kind_name(run->kind));
        listing_add(&rows, "until %s", end);
        listing_add(&rows, "%s%s%s", ended_by_name(run->ended.by), run->ended.evidence[0] != '\0' ? ": " : "",
                    run->ended.evidence);
    }
    say_listing(page, &rows);
    if (f->has_test)
        say_measure(page, "\nvolts at the end of the test, under load", &f->runs[f->test_last_run].ended.end_v,
                    QUANTITY_VOLTAGE);
}

static void explain_tally(const struct page *page, const struct record *record)
{
    const struct tally_check *both[] = {&record->findings.tally_ah, &record->findings.tally_wh};
    static const enum quantity quantities[] = {QUANTITY_CHARGE, QUANTITY_ENERGY};
    for (int k = 0; k < 2; k++) {
        if (!both[k]->present) {
            text_addf(page->text, "no tally of %s in the readings\n", quantity_symbol(quantities[k]));
            continue;
        }
        say(page, both[k]->words);
        say_measure(page, "\nthe meter's tally", &both[k]->tally, quantities[k]);
        say_measure(page, "\nthe integral over the same stretch", &both[k]->integral, quantities[k]);
        if (isnan(both[k]->e_n))
            text_add(page->text, "no E_n without both\n\n");
        else
            text_addf(page->text, "E_n, from what the two do not share: %.2f\n\n", both[k]->e_n);
    }
}

static void explain_conditions(const struct page *page, const struct record *record)
{
    const struct findings *f = &record->findings;
    struct listing rows = listing_of(2);
    for (int k = 0; k < f->condition_count; k++) {
        const struct condition *c = &f->conditions[k];
        listing_add(&rows, "%s", c->name);
        listing_add(&rows, "%s", c->was[0] != '\0' ? c->was : "not known");
        listing_add(&rows, "%s", "");
        listing_add(&rows, "the standards ask: %s", c->asked_for);
        listing_add(&rows, "%s", "");
        listing_add(&rows, "%s", c->words);
    }
    if (f->condition_count == 0) {
        listing_add(&rows, "full before");
        listing_add(&rows, "%s", f->full_words[0] != '\0' ? f->full_words : "cannot tell");
    }
    say_listing(page, &rows);
}

/* In one order with their names. `rate` is of all logs together. */
static const char *const findings_known[] = {"charge", "energy", "mean-voltage", "resistance", "burst", "load",
                                             "ending", "tally", "conditions", "rate", NULL};
static void (*const explainers[])(const struct page *, const struct record *) = {
    explain_charge, explain_energy, explain_mean_voltage, explain_resistance, explain_burst,
    explain_load, explain_ending, explain_tally, explain_conditions, NULL};

static void explain_known(const struct page *page, const struct assessment *assessment, int which)
{
    if (explainers[which] == NULL) {
        say(page, assessment->peukert.words);
        if (measure_known(&assessment->peukert.exponent))
            say_measure(page, "exponent k", &assessment->peukert.exponent, QUANTITY_NONE);
        return;
    }
    for (size_t k = 0; k < assessment->record_count; k++) {
        text_add(page->text, k > 0 ? "\n" : "");
        explainers[which](page, &assessment->records[k]);
        say_source(page, assessment, &assessment->records[k]);
    }
}

static void explain_claim(const struct page *page, const struct assessment *assessment, const struct decision *d)
{
    const struct claim *claim = d->claim;
    text_addf(page->text, "%s: %s", claim->name, claim->as_stated);
    if (claim->where[0] != '\0')
        text_addf(page->text, " (%s)", claim->where);
    text_addf(page->text, "\nverdict: %s", verdict_name(d->verdict));
    if (!isnan(d->probability))
        text_addf(page->text, ", probability of conformity%s %.4f; decided at %.3f (JCGM 106)",
                  d->conditions_open ? " as tested" : "", d->probability, assessment->decide);
    text_add(page->text, "\n");
    say(page, d->reason);
    if (d->would_decide[0] != '\0') {
        text_add(page->text, "to decide it: ");
        lines_wrap(d->would_decide, 14, page->width, page->text);
    }
    text_add(page->text, "\n");
    say_measure(page, "measured", &d->measured, claim->quantity);
    if (d->record == SIZE_MAX)
        return;
    const struct record *record = &assessment->records[d->record];
    say_test(page, &record->findings);
    say_source(page, assessment, record);
}

enum status explain_finding(const struct assessment *assessment, const char *finding, int width, struct text *text,
                            struct message *message)
{
    struct page page = {text, width};
    const struct decision *d = reply_find(assessment, finding);
    int which = name_find(span_of(finding), findings_known);
    if (d != NULL)
        explain_claim(&page, assessment, d);
    else if (which >= 0)
        explain_known(&page, assessment, which);
    if (d != NULL || which >= 0)
        return STATUS_OK;
    char known[300];
    name_list(findings_known, known, sizeof known);
    status_fail(message, STATUS_USAGE, "there is no finding '%s'", finding);
    return status_remedy(message, "use one of %s, or a claim of the label", known);
}
