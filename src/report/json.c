#include "report/json.h"

#include "intake/headers.h"
#include "numeric/budget.h"
#include "report/account.h"
#include "report/charge_json.h"
#include "report/json_parts.h"
#include "report/opened_json.h"
#include "report/parts.h"
#include "report/protections_json.h"

static json_t *run_json(size_t log, const struct run *run)
{
    json_t *o = json_object();
    json_put(o, "log", json_integer((json_int_t)log));
    json_put_words(o, "kind", run_kind_name(run->kind));
    json_put(o, "start_s", json_number(run->start_s));
    json_put(o, "end_s", json_number(run->end_s));
    json_put(o, "charge_ah", json_measure(&run->charge_ah, QUANTITY_CHARGE));
    json_put(o, "energy_wh", json_measure(&run->energy_wh, QUANTITY_ENERGY));
    json_put(o, "mean_v", json_measure(&run->mean_v, QUANTITY_VOLTAGE));
    json_put(o, "mean_a", json_number(run->mean_a));
    json_put(o, "peak_a", json_number(run->peak_a));
    json_put(o, "mean_degc", json_number(run->degc_mean));
    json_put_words(o, "ended_by", ended_by_name(run->ended.by));
    json_put_words(o, "evidence", run->ended.evidence);
    json_put(o, "end_v", json_measure(&run->ended.end_v, QUANTITY_VOLTAGE));
    json_put(o, "recovery_v", json_number(run->ended.recovery_v));
    json_put(o, "knee_minutes", json_number(run->ended.knee_minutes));
    return o;
}

static json_t *phase_json(size_t log, const struct phase *phase)
{
    json_t *o = json_object();
    json_put(o, "log", json_integer((json_int_t)log));
    json_put_words(o, "kind", run_kind_name(phase->kind));
    json_put_words(o, "mode", phase_mode_name(phase->mode));
    json_put(o, "pulse", json_boolean(phase->pulse));
    json_put(o, "start_s", json_number(phase->start_s));
    json_put(o, "end_s", json_number(phase->end_s));
    json_put(o, "mean_a", json_number(phase->mean_a));
    json_put(o, "mean_v", json_number(phase->mean_v));
    return o;
}

static json_t *step_json(size_t log, const struct step *step)
{
    json_t *o = json_object(), *all = json_array();
    json_put(o, "log", json_integer((json_int_t)log));
    json_put(o, "at_s", json_number(step->at_s));
    json_put(o, "at_halfwidth_s", json_number(step->at_halfwidth_s));
    json_put(o, "from_a", json_number(step->from_a));
    json_put(o, "to_a", json_number(step->to_a));
    for (int k = 0; k < step->resistances; k++) {
        json_t *r = json_measure(&step->resistance[k].ohm, QUANTITY_RESISTANCE);
        json_put(r, "delay_s", json_number(step->resistance[k].delay_s));
        json_array_append_new(all, r);
    }
    json_put(o, "resistance_ohm", all);
    return o;
}

static json_t *capacity_json(size_t log, const struct capacity *c)
{
    json_t *o = json_object();
    json_put(o, "log", json_integer((json_int_t)log));
    json_put(o, "cut_off_v", json_number(c->cut_off_v));
    json_put(o, "asked", json_boolean(c->asked));
    json_put(o, "reached", json_boolean(c->reached));
    json_put(o, "at_s", json_number(c->at_s));
    json_put(o, "charge_ah", json_measure(&c->charge_ah, QUANTITY_CHARGE));
    json_put(o, "energy_wh", json_measure(&c->energy_wh, QUANTITY_ENERGY));
    return o;
}

static json_t *burst_json(size_t log, const struct burst *burst)
{
    json_t *o = json_object();
    json_put(o, "log", json_integer((json_int_t)log));
    json_put(o, "start_s", json_number(burst->start_s));
    json_put(o, "end_s", json_number(burst->end_s));
    json_put(o, "current_a", json_number(burst->current_a));
    json_put(o, "base_a", json_number(burst->base_a));
    json_put(o, "sag_v", json_number(burst->sag_v));
    json_put(o, "cost_wh", json_measure(&burst->cost_wh, QUANTITY_ENERGY));
    json_put(o, "cost_share", json_measure(&burst->cost_share, QUANTITY_RATIO));
    json_put(o, "check_wh", json_number(burst->check_wh));
    json_put(o, "charge_bound_ah", json_number(burst->charge_bound_ah));
    json_put_words(o, "charge_bound", burst->charge_bound);
    return o;
}

static json_t *pair_json(size_t log, const struct pulse_pair *pair)
{
    json_t *o = json_measure(&pair->ohm, QUANTITY_RESISTANCE);
    json_put(o, "log", json_integer((json_int_t)log));
    json_put(o, "at_s", json_number(pair->at_s));
    json_put(o, "first_a", json_number(pair->i1_a));
    json_put(o, "second_a", json_number(pair->i2_a));
    json_put(o, "first_v", json_number(pair->u1_v));
    json_put(o, "second_v", json_number(pair->u2_v));
    json_put_words(o, "deviation", pair->deviation);
    return o;
}

static json_t *tally_json(const struct tally_check *tally, enum quantity quantity)
{
    json_t *o = json_object();
    json_put(o, "tally", json_measure(&tally->tally, quantity));
    json_put(o, "integral", json_measure(&tally->integral, quantity));
    json_put(o, "e_n", json_number(tally->e_n));
    json_put(o, "agrees", json_boolean(tally->agrees));
    json_put(o, "froze", json_boolean(tally->froze));
    json_put(o, "reset", json_boolean(tally->reset));
    json_put_words(o, "words", tally->words);
    return o;
}

static json_t *condition_json(const struct condition *c)
{
    json_t *o = json_object();
    json_put_words(o, "name", c->name);
    json_put_words(o, "was", c->was);
    json_put_words(o, "asked_for", c->asked_for);
    json_put(o, "known", json_boolean(c->known));
    json_put(o, "departs", json_boolean(c->departs));
    json_put(o, "effect_low", json_number(c->effect_lo));
    json_put(o, "effect_high", json_number(c->effect_hi));
    json_put_words(o, "words", c->words);
    return o;
}

/* What a log's test came to, beyond its runs. */
static json_t *test_json(const struct findings *f)
{
    json_t *o = json_object(), *conditions = json_array();
    json_put(o, "charge_ah", json_measure_with_budget(&f->test_ah, QUANTITY_CHARGE));
    json_put(o, "energy_wh", json_measure_with_budget(&f->test_wh, QUANTITY_ENERGY));
    json_put(o, "mean_v", json_measure(&f->test_mean_v, QUANTITY_VOLTAGE));
    json_put(o, "duration_s", json_measure(&f->test_duration_s, QUANTITY_TIME));
    json_put(o, "start_s", json_number(f->test_start_s));
    json_put(o, "end_s", json_number(f->test_end_s));
    json_put(o, "mean_a", json_number(f->test_mean_a));
    json_put(o, "peak_a", json_number(f->test_peak_a));
    json_put(o, "mean_degc", json_number(f->test_degc));
    json_put(o, "load_exponent", json_measure(&f->load.exponent, QUANTITY_NONE));
    json_put_words(o, "load", f->load.words);
    json_put_words(o, "full_before", f->full_words);
    json_put(o, "rated_charge_passed_s", json_measure(&f->rated_ah.at_s, QUANTITY_TIME));
    json_put(o, "rated_energy_passed_s", json_measure(&f->rated_wh.at_s, QUANTITY_TIME));
    if (f->tally_ah.present)
        json_put(o, "tally_ah", tally_json(&f->tally_ah, QUANTITY_CHARGE));
    if (f->tally_wh.present)
        json_put(o, "tally_wh", tally_json(&f->tally_wh, QUANTITY_ENERGY));
    for (int k = 0; k < f->condition_count; k++)
        json_array_append_new(conditions, condition_json(&f->conditions[k]));
    json_put(o, "conditions", conditions);
    json_put(o, "efficiency_charge", json_measure(&f->efficiency_charge, QUANTITY_RATIO));
    json_put(o, "efficiency_energy", json_measure(&f->efficiency_energy, QUANTITY_RATIO));
    json_put(o, "wake_ah", json_measure(&f->wake_ah, QUANTITY_CHARGE));
    return o;
}

static void add_columns(json_t *columns, size_t log, const struct record *record)
{
    for (size_t k = 0; !record->by_eye && k < record->log.column_count; k++) {
        const struct column_choice *c = &record->log.columns[k];
        json_t *o = json_object();
        json_put(o, "log", json_integer((json_int_t)log));
        json_put(o, "number", json_integer(c->number));
        json_put_words(o, "header", c->header);
        json_put_words(o, "taken_for", role_name(c->role, c->channel));
        json_put_words(o, "unit", c->unit);
        json_put_words(o, "why", c->why);
        json_array_append_new(columns, o);
    }
}

static json_t *bad_json(const struct bad_row *bad)
{
    json_t *o = json_object();
    json_put(o, "line", json_integer(bad->line));
    json_put(o, "column", json_integer(bad->column));
    json_put_words(o, "text", bad->text);
    json_put_words(o, "why", bad->why);
    return o;
}

static json_t *log_json(const struct record *record)
{
    json_t *o = json_object();
    json_put_words(o, "path", record->path);
    json_put(o, "by_eye", json_boolean(record->by_eye));
    if (record->by_eye) {
        json_put(o, "readings", json_integer((json_int_t)record->sightings.count));
        return o;
    }
    const struct log *log = &record->log;
    json_t *bad = json_array();
    size_t listed = log->bad_count < LOG_BAD_ROWS_LISTED ? log->bad_count : LOG_BAD_ROWS_LISTED;
    for (size_t k = 0; k < listed; k++)
        json_array_append_new(bad, bad_json(&log->bad[k]));
    json_put(o, "readings", json_integer((json_int_t)log->series.count));
    json_put(o, "rows_left_out", json_integer((json_int_t)log->bad_count));
    json_put(o, "missing_cells", json_integer((json_int_t)log->missing_cells));
    json_put(o, "out_of_order", json_integer((json_int_t)log->out_of_order));
    json_put(o, "bad_rows", bad);
    json_put_words(o, "current_direction", record->direction.sign > 0 ? "discharge positive" : "charge positive");
    json_put_words(o, "direction_why", record->direction.why);
    return o;
}

static json_t *claim_json(const struct decision *d)
{
    static const char *const senses[] = {"at least", "at most", "about", "true"};
    json_t *o = json_object();
    json_put_words(o, "claim", d->claim->slug);
    json_put_words(o, "name", d->claim->name);
    json_put_words(o, "sense", senses[d->claim->sense]);
    json_put(o, "stated", json_number(d->claim->stated));
    json_put_words(o, "unit", quantity_symbol(d->claim->quantity));
    json_put_words(o, "as_stated", d->claim->as_stated);
    json_put_words(o, "where", d->claim->where);
    json_put(o, "measured", json_measure_with_budget(&d->measured, d->claim->quantity));
    json_put(o, "probability", json_number(d->probability));
    json_put_words(o, "verdict", verdict_name(d->verdict));
    json_put(o, "reached", json_number(d->reached));
    json_put_words(o, "found", d->found);
    json_put_words(o, "reason", d->reason);
    json_put_words(o, "would_decide", d->would_decide);
    return o;
}

static json_t *totals_json(const struct assessment *assessment)
{
    struct measure totals[4];
    static const char *const names[4] = {"discharge_ah", "discharge_wh", "charge_ah", "charge_wh"};
    for (size_t k = 0; k < assessment->record_count; k++) {
        const struct findings *f = &assessment->records[k].findings;
        const struct measure *of[4] = {&f->discharge_ah, &f->discharge_wh, &f->charge_ah, &f->charge_wh};
        for (int j = 0; j < 4; j++) {
            totals[j] = k == 0 ? *of[j] : measure_sum(&totals[j], 1, of[j], 1);
            if (k > 0)
                budget_close(&totals[j]);
        }
    }
    json_t *o = json_object();
    for (int j = 0; j < 4 && assessment->record_count > 0; j++)
        json_put(o, names[j], json_measure_with_budget(&totals[j], j % 2 == 0 ? QUANTITY_CHARGE : QUANTITY_ENERGY));
    return o;
}

static json_t *notices_json(const struct assessment *assessment)
{
    json_t *all = json_array();
    for (size_t k = 0; k < assessment->notices.count; k++) {
        json_t *o = json_object();
        json_put_words(o, "topic", assessment->notices.items[k].topic);
        json_put_words(o, "text", assessment->notices.items[k].text);
        json_array_append_new(all, o);
    }
    for (size_t r = 0; r < assessment->record_count; r++) {
        const struct record *record = &assessment->records[r];
        for (size_t k = 0; !record->by_eye && k < record->log.notices.count; k++) {
            const struct notice *n = &record->log.notices.items[k];
            json_t *o = json_object();
            json_put(o, "log", json_integer((json_int_t)r));
            json_put_words(o, "topic", n->topic);
            json_put_words(o, "text", n->text);
            json_put(o, "line", n->line > 0 ? json_integer(n->line) : json_null());
            json_array_append_new(all, o);
        }
    }
    return all;
}

struct lists {
    json_t *logs, *columns, *runs, *phases, *steps, *pairs, *capacity, *bursts, *chargings, *restings, *tests;
};

static void add_record(struct lists *lists, size_t log, const struct record *record)
{
    const struct findings *f = &record->findings;
    json_array_append_new(lists->logs, log_json(record));
    add_columns(lists->columns, log, record);
    for (size_t k = 0; k < f->run_count; k++)
        json_array_append_new(lists->runs, run_json(log, &f->runs[k]));
    for (size_t k = 0; k < f->phase_count; k++)
        json_array_append_new(lists->phases, phase_json(log, &f->phases[k]));
    for (size_t k = 0; k < f->step_count; k++)
        json_array_append_new(lists->steps, step_json(log, &f->steps[k]));
    for (size_t k = 0; k < f->pair_count; k++)
        json_array_append_new(lists->pairs, pair_json(log, &f->pairs[k]));
    for (size_t k = 0; k < f->capacity_count; k++)
        json_array_append_new(lists->capacity, capacity_json(log, &f->capacities[k]));
    for (size_t k = 0; k < f->burst_count; k++)
        json_array_append_new(lists->bursts, burst_json(log, &f->bursts[k]));
    for (size_t k = 0; k < f->charging_count; k++)
        json_array_append_new(lists->chargings, charge_json_charging(log, f, &f->chargings[k]));
    for (size_t k = 0; k < f->resting_count; k++)
        json_array_append_new(lists->restings, charge_json_resting(log, &f->restings[k]));
    json_array_append_new(lists->tests, f->has_test ? test_json(f) : json_null());
}

static json_t *comparisons_json(const struct assessment *assessment)
{
    json_t *all = json_array();
    for (size_t k = 0; k < assessment->comparison_count; k++) {
        const struct comparison *c = &assessment->comparisons[k];
        json_t *o = json_object();
        json_put(o, "log", json_integer((json_int_t)c->second));
        json_put(o, "less_log", json_integer((json_int_t)c->first));
        json_put(o, "charge_ah", json_measure(&c->charge_ah.value, QUANTITY_CHARGE));
        json_put(o, "energy_wh", json_measure(&c->energy_wh.value, QUANTITY_ENERGY));
        json_put(o, "variance_cancelled", json_number(c->charge_ah.cancelled));
        json_array_append_new(all, o);
    }
    return all;
}

static json_t *peukert_json(const struct peukert *peukert)
{
    json_t *o = json_object();
    json_put(o, "points", json_integer(peukert->points));
    json_put(o, "exponent", json_measure(&peukert->exponent, QUANTITY_NONE));
    json_put(o, "confounded", json_boolean(peukert->confounded));
    json_put_words(o, "words", peukert->words);
    return o;
}

static json_t *claims_json(const struct assessment *assessment)
{
    json_t *claims = json_array();
    for (size_t k = 0; k < assessment->decision_count; k++)
        json_array_append_new(claims, claim_json(&assessment->decisions[k]));
    return claims;
}

static json_t *questions_json(const struct label *label)
{
    json_t *questions = json_array();
    for (size_t k = 0; k < label->question_count; k++)
        json_array_append_new(questions, json_words(label->questions[k]));
    return questions;
}

static json_t *rig_json(const struct rig *rig)
{
    json_t *o = json_object();
    json_put_words(o, "name", rig->name);
    for (int c = 0; c < CHANNELS; c++) {
        json_t *channel = json_object();
        json_put_words(channel, "accuracy", rig->of[c].as_printed);
        json_put(channel, "stated", json_boolean(rig->of[c].stated));
        json_put(o, channel_name((enum channel)c), channel);
    }
    return o;
}

static json_t *contradictions_json(const struct assessment *assessment)
{
    json_t *list = json_array();
    for (size_t k = 0; k < assessment->contradiction_count; k++) {
        const struct contradiction *c = &assessment->contradictions[k];
        json_t *o = json_object();
        json_put_words(o, "words", c->words);
        json_put(o, "claim", c->claim < assessment->decision_count
                                 ? json_words(assessment->decisions[c->claim].claim->slug)
                                 : json_null());
        json_put_words(o, "item", c->item);
        json_array_append_new(list, o);
    }
    return list;
}

static json_t *untested_json(const struct assessment *assessment)
{
    json_t *list = json_array();
    struct listing rows = listing_of(2);
    account_untested(assessment, &rows);
    for (size_t k = 0; k < listing_rows(&rows); k++) {
        json_t *o = json_object();
        json_put_words(o, "what", listing_cell(&rows, k, 0));
        json_put_words(o, "words", listing_cell(&rows, k, 1));
        json_array_append_new(list, o);
    }
    listing_free(&rows);
    return list;
}

void json_assessment(const struct assessment *assessment, struct text *text)
{
    struct lists lists = {json_array(), json_array(), json_array(), json_array(), json_array(), json_array(),
                          json_array(), json_array(), json_array(), json_array(), json_array()};
    for (size_t k = 0; k < assessment->record_count; k++)
        add_record(&lists, k, &assessment->records[k]);
    json_t *o = json_object();
    json_head(o);
    json_put(o, "invented_data", json_boolean(assessment->invented));
    json_put_words(o, "sample", assessment->label.sample);
    json_put_words(o, "sample_had", assessment->label.had_words);
    json_put_words(o, "tested", assessment->label.tested);
    json_put(o, "questions", questions_json(&assessment->label));
    json_put(o, "rig", rig_json(&assessment->rig));
    json_put(o, "decided_at", json_number(assessment->decide));
    json_put(o, "contradictions", contradictions_json(assessment));
    json_put_words(o, "summary", assessment->summary);
    json_put_words(o, "summary_rest", part_summary(assessment));
    json_put(o, "opinion", assessment->opinion != NULL ? json_words(assessment->opinion) : json_null());
    json_put(o, "claims", claims_json(assessment));
    json_put(o, "untested", untested_json(assessment));
    json_put(o, "totals", totals_json(assessment));
    json_put(o, "tests", lists.tests);
    json_put(o, "capacity", lists.capacity);
    json_put(o, "runs", lists.runs);
    json_put(o, "phases", lists.phases);
    json_put(o, "steps", lists.steps);
    json_put(o, "pulse_pairs", lists.pairs);
    json_put(o, "bursts", lists.bursts);
    protections_json(assessment, o);
    json_put(o, "chargings", lists.chargings);
    json_put(o, "restings", lists.restings);
    json_put(o, "differences", comparisons_json(assessment));
    json_put(o, "peukert", peukert_json(&assessment->peukert));
    json_put(o, "opened", assessment->has_opened ? opened_json(&assessment->opened, &assessment->inspection) : json_null());
    json_put(o, "logs", lists.logs);
    json_put(o, "columns", lists.columns);
    json_put(o, "warnings", notices_json(assessment));
    json_finish(o, text);
}
