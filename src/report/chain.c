#include "report/chain.h"

#include "base/memory.h"
#include "base/nearest.h"
#include "base/number.h"
#include "report/account.h"
#include "report/reply.h"

#include <stdarg.h>
#include <stdint.h>

enum { MOST = 60 }; /* steps or runs that are listed */

static char *copied(const char *words)
{
    size_t size = strlen(words) + 1;
    return memcpy(memory_get(size), words, size);
}

/* The link stands until the next is added. */
static struct chain_link *add(struct finding_chain *chain, enum chain_kind kind, const char *title)
{
    chain->links = memory_grow(chain->links, chain->count, &chain->capacity);
    struct chain_link *link = &chain->links[chain->count++];
    *link = (struct chain_link){.kind = kind, .title = copied(title), .heads = "", .from_s = NAN, .to_s = NAN};
    link->words = copied("");
    return link;
}

__attribute__((format(printf, 2, 3))) static void say(struct chain_link *link, const char *format, ...)
{
    struct text text = TEXT_EMPTY;
    char words[1200];
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(words, sizeof words, format, arguments);
    va_end(arguments);
    text_add(&text, words);
    free(link->words);
    link->words = text.s != NULL ? text.s : copied("");
}

static void add_words(struct finding_chain *chain, const char *words)
{
    say(add(chain, CHAIN_WORDS, ""), "%s", words);
}

static void add_fact(struct finding_chain *chain, const char *title, const char *words)
{
    say(add(chain, CHAIN_FACT, title), "%s", words);
}

static struct chain_link *add_measure(struct finding_chain *chain, const char *title, const struct measure *measure,
                                enum quantity quantity)
{
    struct chain_link *link = add(chain, CHAIN_MEASURE, title);
    link->measure = *measure;
    link->quantity = quantity;
    return link;
}

/* The rows are the chain's from here on. */
static struct chain_link *add_table(struct finding_chain *chain, const char *title, const char *heads, struct listing rows)
{
    struct chain_link *link = add(chain, CHAIN_TABLE, title);
    link->heads = heads;
    link->rows = rows;
    return link;
}

void chain_free(struct finding_chain *chain)
{
    for (size_t k = 0; k < chain->count; k++) {
        free(chain->links[k].title);
        free(chain->links[k].words);
        listing_free(&chain->links[k].rows);
    }
    free(chain->links);
    *chain = (struct finding_chain){0};
}

/* The first reading at or after t_s, counted from 1; one more than there are when none is. */
static long reading_from(const struct series *series, double t_s)
{
    size_t lo = 0, hi = series->count;
    while (lo < hi) {
        size_t middle = lo + (hi - lo) / 2;
        if (series->t_s[middle] < t_s)
            lo = middle + 1;
        else
            hi = middle;
    }
    return (long)lo + 1;
}

/* Names the readings of a stretch; the stretch may be without times. */
static void rests_on(struct chain_link *link, const struct record *record, double from_s, double to_s)
{
    if (!(from_s <= to_s))
        return;
    link->from_s = from_s;
    link->to_s = to_s;
    link->lines = record->by_eye;
    if (!record->by_eye) {
        const struct series *series = &record->log.series;
        link->first = reading_from(series, from_s);
        link->last = reading_from(series, nextafter(to_s, INFINITY)) - 1;
    }
    for (size_t k = 0; record->by_eye && k < record->sightings.count; k++) {
        const struct instant *instant = &record->sightings.instants[k];
        if (!(instant->t_s >= from_s && instant->t_s <= to_s))
            continue;
        link->first = link->first > 0 ? link->first : instant->line;
        link->last = instant->line;
    }
}

static void add_log(struct finding_chain *chain, const struct record *record)
{
    const struct log *log = &record->log;
    say(&chain->links[chain->count - 1], "%zu readings from line %ld, one every %.3g s; %zu rows left out",
        log->series.count, log->first_line, record->findings.period_s, log->bad_count);
    for (size_t k = 0; k < log->column_count; k++) {
        char title[120];
        if (log->columns[k].role == COLUMN_UNUSED)
            continue;
        snprintf(title, sizeof title, "column %d '%.80s'", log->columns[k].number, log->columns[k].header);
        add_fact(chain, title, log->columns[k].why);
        chain->links[chain->count - 1].inner = true;
    }
    add_fact(chain, "current", record->direction.why);
    chain->links[chain->count - 1].inner = true;
}

static void add_source(struct finding_chain *chain, const struct assessment *assessment, size_t record_index)
{
    const struct record *record = &assessment->records[record_index];
    const struct findings *f = &record->findings;
    struct chain_link *link = add(chain, CHAIN_READINGS, record->path);
    link->apart = true;
    link->record = record_index;
    rests_on(link, record, f->has_test ? f->test_start_s : NAN, f->has_test ? f->test_end_s : NAN);
    if (record->by_eye)
        say(link, "%zu instants read by eye%s", record->sightings.count,
            record->findings.order_only ? ", known by their order only" : "");
    else
        add_log(chain, record);
    add_fact(chain, "rig", assessment->rig.name);
    for (int c = CHANNEL_VOLTAGE; c <= CHANNEL_CURRENT; c++) {
        add_fact(chain, channel_name((enum channel)c), assessment->rig.of[c].as_printed);
        chain->links[chain->count - 1].inner = true;
    }
}

static void add_test(struct finding_chain *chain, const struct record *record)
{
    const struct findings *f = &record->findings;
    if (!f->has_test) {
        add_words(chain, "the readings hold no discharge");
        return;
    }
    char start[32], end[32], title[160];
    number_print_duration(f->test_start_s, start, sizeof start);
    number_print_duration(f->test_end_s, end, sizeof end);
    if (f->test_last_run > f->test_first_run)
        snprintf(title, sizeof title, "the test: runs %zu to %zu, from %s to %s", f->test_first_run + 1,
                 f->test_last_run + 1, start, end);
    else
        snprintf(title, sizeof title, "the test: run %zu, from %s to %s", f->test_first_run + 1, start, end);
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
    struct chain_link *link = add_table(chain, title, "Run|Kind|Charge|Energy", rows);
    link->apart = true;
    rests_on(link, record, f->test_start_s, f->test_end_s);
}

static void tell_amount(struct finding_chain *chain, const struct record *record, const char *what,
                        const struct measure *measure, enum quantity quantity)
{
    const struct findings *f = &record->findings;
    if (f->has_test)
        add_measure(chain, what, measure, quantity);
    add_test(chain, record);
    if (f->capacity_count == 0)
        return;
    struct listing rows = listing_of(4);
    account_cut_offs(f, &rows);
    add_table(chain, "down to each cut-off: Ah, Wh, time since the load went on", "Cut-off|Ah|Wh|At", rows)->apart = true;
}

static void tell_charge(struct finding_chain *chain, const struct record *record)
{
    tell_amount(chain, record, "charge delivered, ∫I dt", &record->findings.test_ah, QUANTITY_CHARGE);
}

static void tell_energy(struct finding_chain *chain, const struct record *record)
{
    tell_amount(chain, record, "energy delivered, ∫V·I dt", &record->findings.test_wh, QUANTITY_ENERGY);
}

static void tell_mean_voltage(struct finding_chain *chain, const struct record *record)
{
    if (record->findings.has_test)
        add_measure(chain, "mean voltage, energy over charge", &record->findings.test_mean_v, QUANTITY_VOLTAGE);
    add_test(chain, record);
}

static void tell_resistance(struct finding_chain *chain, const struct record *record)
{
    struct listing steps = listing_of(5), pairs = listing_of(3);
    size_t more = account_resistances(&record->findings, MOST, &steps);
    account_pulse_pairs(&record->findings, &pairs);
    add_words(chain, "direct-current resistance: the change of volts at a step, with the slope before it taken out, over "
                     "the change of amps");
    if (listing_rows(&steps) > 0)
        add_table(chain, "step, then mΩ at the first reading after it, after 1 s, 10 s and 30 s",
                  "Step|First reading, mΩ|1 s|10 s|30 s", steps);
    else
        add_words(chain, "no step in the readings gives one");
    if (more > 0) {
        struct chain_link *link = add(chain, CHAIN_WORDS, "");
        say(link, "and %zu smaller steps", more);
    }
    if (listing_rows(&pairs) > 0)
        add_table(chain, "by a pulse pair, as in IEC 61960-3 and IEC 62620", "At|Currents|Resistance", pairs);
    else
        listing_free(&pairs);
    if (listing_rows(&steps) == 0)
        listing_free(&steps);
}

static void tell_burst(struct finding_chain *chain, const struct record *record)
{
    const struct findings *f = &record->findings;
    if (f->burst_count == 0) {
        add_words(chain, "no burst in the readings: no stretch of higher current between two of one base load");
        return;
    }
    struct listing rows = listing_of(2);
    account_bursts(f, false, &rows);
    add_table(chain, "", "|", rows);
    for (size_t k = 0; k < f->burst_count && k < MOST; k++) {
        struct chain_link *link = add_measure(chain, "cost, ∫(V_base(q) − V(q)) dq over burst and recovery",
                                        &f->bursts[k].cost_wh, QUANTITY_ENERGY);
        link->apart = true;
        rests_on(link, record, f->bursts[k].start_s, f->bursts[k].end_s);
    }
}

static void tell_load(struct finding_chain *chain, const struct record *record)
{
    add_words(chain, record->findings.load.words);
    add_measure(chain, "exponent n in I ∝ V^n", &record->findings.load.exponent, QUANTITY_NONE);
}

static void tell_ending(struct finding_chain *chain, const struct record *record)
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
    add_table(chain, "", "Run|Kind|Until|Ended by", rows);
    if (f->has_test)
        add_measure(chain, "volts at the end of the test, under load", &f->runs[f->test_last_run].ended.end_v,
                    QUANTITY_VOLTAGE)->apart = true;
}

static void tell_tally(struct finding_chain *chain, const struct record *record)
{
    const struct tally_check *both[] = {&record->findings.tally_ah, &record->findings.tally_wh};
    static const enum quantity quantities[] = {QUANTITY_CHARGE, QUANTITY_ENERGY};
    for (int k = 0; k < 2; k++) {
        if (!both[k]->present) {
            say(add(chain, CHAIN_WORDS, ""), "no tally of %s in the readings", quantity_symbol(quantities[k]));
            continue;
        }
        add_words(chain, both[k]->words);
        chain->links[chain->count - 1].apart = k > 0;
        add_measure(chain, "the meter's tally", &both[k]->tally, quantities[k])->apart = true;
        add_measure(chain, "the integral over the same stretch", &both[k]->integral, quantities[k])->apart = true;
        if (isnan(both[k]->e_n))
            add_words(chain, "no E_n without both");
        else
            say(add(chain, CHAIN_WORDS, ""), "E_n, from what the two do not share: %.2f", both[k]->e_n);
    }
}

static void tell_conditions(struct finding_chain *chain, const struct record *record)
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
    add_table(chain, "", "|", rows);
}

static void add_stop(struct finding_chain *chain, const struct record *record, size_t run, const char *words)
{
    bool apart = chain->count > 0;
    struct chain_link *link = add(chain, CHAIN_WORDS, "");
    say(link, "%s", words);
    link->apart = apart;
    rests_on(link, record, record->findings.runs[run].start_s, record->findings.runs[run].end_s);
}

/* What is best known of the temperature that it answered, or the volts of an empty sample, behind the words of each. */
static void tell_protections(struct finding_chain *chain, const struct record *record)
{
    const struct findings *f = &record->findings;
    for (size_t k = 0; k < f->trip_count && k < MOST; k++) {
        const struct trip *trip = &f->trips[k];
        bool thermal = trip->way == TRIP_COLD || trip->way == TRIP_HOT;
        if (trip->way == TRIP_LOW && f->low_stop_count > 0)
            continue;
        add_stop(chain, record, trip->run, trip->words);
        if (thermal && measure_known(&trip->threshold_degc))
            add_measure(chain, "threshold", &trip->threshold_degc, QUANTITY_TEMPERATURE);
        else if (thermal && measure_known(&trip->trip_degc))
            add_measure(chain, "temperature of the probe's place", &trip->trip_degc, QUANTITY_TEMPERATURE);
        else if (measure_known(&trip->delay_s))
            add_measure(chain, "from the mark to the stop", &trip->delay_s, QUANTITY_TIME);
    }
    for (size_t k = 0; k < f->low_stop_count && k < MOST; k++) {
        add_stop(chain, record, f->low_stops[k].run, f->low_stops[k].words);
        add_measure(chain, "volts at the stop, under load", &f->low_stops[k].end_v, QUANTITY_VOLTAGE);
    }
    if (f->trip_count + f->low_stop_count == 0)
        add_words(chain, "the board stopped nothing in the readings");
}

/* In one order with their names. `rate` is of all logs together. */
const char *const chain_findings[] = {"charge", "energy", "mean-voltage", "resistance", "burst", "load",
                                      "ending", "tally", "conditions", "protections", "rate", NULL};
static void (*const tellers[])(struct finding_chain *, const struct record *) = {
    tell_charge, tell_energy, tell_mean_voltage, tell_resistance, tell_burst,
    tell_load, tell_ending, tell_tally, tell_conditions, tell_protections, NULL};

static void tell_known(struct finding_chain *chain, const struct assessment *assessment, int which)
{
    if (tellers[which] == NULL) {
        add_words(chain, assessment->peukert.words);
        if (measure_known(&assessment->peukert.exponent))
            add_measure(chain, "exponent k", &assessment->peukert.exponent, QUANTITY_NONE);
        return;
    }
    for (size_t k = 0; k < assessment->record_count; k++) {
        size_t from = chain->count;
        tellers[which](chain, &assessment->records[k]);
        if (chain->count > from)
            chain->links[from].apart = k > 0;
        add_source(chain, assessment, k);
    }
}

static void tell_claim(struct finding_chain *chain, const struct assessment *assessment, const struct decision *d)
{
    const struct claim *claim = d->claim;
    char words[200];
    snprintf(words, sizeof words, "%s%s%s%s", claim->as_stated, claim->where[0] != '\0' ? " (" : "", claim->where,
             claim->where[0] != '\0' ? ")" : "");
    add_fact(chain, claim->name, words);
    struct chain_link *verdict = add(chain, CHAIN_FACT, "verdict");
    if (isnan(d->probability))
        say(verdict, "%s", verdict_name(d->verdict));
    else
        say(verdict, "%s, probability of conformity%s %.4f; decided at %.3f (JCGM 106)", verdict_name(d->verdict),
            d->conditions_open ? " as tested" : "", d->probability, assessment->decide);
    add_words(chain, d->reason);
    if (d->would_decide[0] != '\0')
        add_fact(chain, "to decide it", d->would_decide);
    bool in_words = !measure_known(&d->measured) && d->found[0] != '\0';
    if (in_words)
        add_fact(chain, "found", d->found);
    else
        add_measure(chain, "measured", &d->measured, claim->quantity);
    chain->links[chain->count - 1].apart = true;
    if (d->record == SIZE_MAX)
        return;
    const struct record *record = &assessment->records[d->record];
    if (!record->findings.has_test && record->findings.trip_count > 0)
        tell_protections(chain, record);
    else
        add_test(chain, record);
    add_source(chain, assessment, d->record);
}

enum status chain_make(const struct assessment *assessment, const char *finding, struct finding_chain *ret_chain,
                       struct message *message)
{
    const struct decision *d = reply_find(assessment, finding);
    int which = name_find(span_of(finding), chain_findings);
    if (d == NULL && which < 0) {
        char known[300];
        name_list(chain_findings, known, sizeof known);
        status_fail(message, STATUS_USAGE, "there is no finding '%s'", finding);
        return status_remedy(message, "use one of %s, or a claim of the label", known);
    }
    *ret_chain = (struct finding_chain){0};
    snprintf(ret_chain->finding, sizeof ret_chain->finding, "%s", d != NULL ? d->claim->slug : chain_findings[which]);
    if (d != NULL)
        tell_claim(ret_chain, assessment, d);
    else
        tell_known(ret_chain, assessment, which);
    return STATUS_OK;
}
