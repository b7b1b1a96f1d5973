#include "report/json.h"

#include "intake/headers.h"
#include "numeric/budget.h"

#include <jansson.h>

static json_t *number(double value)
{
    return isfinite(value) ? json_real(value) : json_null();
}

static void put(json_t *object, const char *key, json_t *value)
{
    json_object_set_new(object, key, value);
}

/* Logs and paths may hold anything: a byte that is no UTF-8 becomes U+FFFD. */
static void put_text(json_t *object, const char *key, const char *value)
{
    struct text good = TEXT_EMPTY;
    struct span rest = span_of(value);
    while (rest.n > 0) {
        size_t n = span_bad_utf8(rest);
        text_add_bytes(&good, rest.p, n);
        if (n < rest.n)
            text_add(&good, "\xEF\xBF\xBD"), n++;
        rest.p += n, rest.n -= n;
    }
    put(object, key, json_string(text_string(&good)));
    text_free(&good);
}

static json_t *part_json(const struct part *part)
{
    static const char *const shapes[] = {"normal", "rectangular", "triangular", "arcsine", "t"};
    json_t *o = json_object();
    put_text(o, "cause", cause_name(part->cause));
    put(o, "standard_uncertainty", number(fabs(part->u)));
    put_text(o, "shape", shapes[part->shape]);
    put(o, "shared_source", part->source != 0 ? json_integer(part->source) : json_null());
    if (part->what != NULL && part->what[0] != '\0')
        put_text(o, "what", part->what);
    if (part->remedy != NULL && part->remedy[0] != '\0')
        put_text(o, "remedy", part->remedy);
    return o;
}

static json_t *measure_json(const struct measure *m)
{
    json_t *o = json_object();
    put(o, "value", number(m->value));
    put(o, "standard_uncertainty", number(m->u));
    if (!measure_known(m)) {
        put_text(o, "cannot_tell", m->why);
        return o;
    }
    put(o, "low", number(m->lo));
    put(o, "high", number(m->hi));
    put(o, "degrees_of_freedom", number(m->dof));
    return o;
}

static json_t *measure_with_budget(const struct measure *m)
{
    json_t *o = measure_json(m), *parts = json_array();
    for (int k = 0; k < m->count; k++)
        json_array_append_new(parts, part_json(&m->parts[k]));
    put(o, "budget", parts);
    return o;
}

static json_t *run_json(size_t log, const struct run *run)
{
    json_t *o = json_object();
    put(o, "log", json_integer((json_int_t)log));
    put_text(o, "kind", run_kind_name(run->kind));
    put(o, "start_s", number(run->start_s));
    put(o, "end_s", number(run->end_s));
    put(o, "charge_ah", measure_json(&run->charge_ah));
    put(o, "energy_wh", measure_json(&run->energy_wh));
    put(o, "mean_v", measure_json(&run->mean_v));
    put(o, "mean_a", number(run->mean_a));
    put(o, "peak_a", number(run->peak_a));
    put(o, "mean_degc", number(run->degc_mean));
    put_text(o, "ended_by", ended_by_name(run->ended.by));
    put_text(o, "evidence", run->ended.evidence);
    put(o, "end_v", measure_json(&run->ended.end_v));
    put(o, "recovery_v", number(run->ended.recovery_v));
    put(o, "knee_minutes", number(run->ended.knee_minutes));
    return o;
}

static json_t *phase_json(size_t log, const struct phase *phase)
{
    json_t *o = json_object();
    put(o, "log", json_integer((json_int_t)log));
    put_text(o, "kind", run_kind_name(phase->kind));
    put_text(o, "mode", phase_mode_name(phase->mode));
    put(o, "pulse", json_boolean(phase->pulse));
    put(o, "start_s", number(phase->start_s));
    put(o, "end_s", number(phase->end_s));
    put(o, "mean_a", number(phase->mean_a));
    put(o, "mean_v", number(phase->mean_v));
    return o;
}

static json_t *step_json(size_t log, const struct step *step)
{
    json_t *o = json_object(), *all = json_array();
    put(o, "log", json_integer((json_int_t)log));
    put(o, "at_s", number(step->at_s));
    put(o, "at_halfwidth_s", number(step->at_halfwidth_s));
    put(o, "from_a", number(step->from_a));
    put(o, "to_a", number(step->to_a));
    for (int k = 0; k < step->resistances; k++) {
        json_t *r = measure_json(&step->resistance[k].ohm);
        put(r, "delay_s", number(step->resistance[k].delay_s));
        json_array_append_new(all, r);
    }
    put(o, "resistance_ohm", all);
    return o;
}

static json_t *capacity_json(size_t log, const struct capacity *c)
{
    json_t *o = json_object();
    put(o, "log", json_integer((json_int_t)log));
    put(o, "cut_off_v", number(c->cut_off_v));
    put(o, "asked", json_boolean(c->asked));
    put(o, "reached", json_boolean(c->reached));
    put(o, "at_s", number(c->at_s));
    put(o, "charge_ah", measure_json(&c->charge_ah));
    put(o, "energy_wh", measure_json(&c->energy_wh));
    return o;
}

static json_t *burst_json(size_t log, const struct burst *burst)
{
    json_t *o = json_object();
    put(o, "log", json_integer((json_int_t)log));
    put(o, "start_s", number(burst->start_s));
    put(o, "end_s", number(burst->end_s));
    put(o, "current_a", number(burst->current_a));
    put(o, "base_a", number(burst->base_a));
    put(o, "sag_v", number(burst->sag_v));
    put(o, "cost_wh", measure_json(&burst->cost_wh));
    put(o, "cost_share", measure_json(&burst->cost_share));
    put(o, "check_wh", number(burst->check_wh));
    put(o, "charge_bound_ah", number(burst->charge_bound_ah));
    put_text(o, "charge_bound", burst->charge_bound);
    return o;
}

static json_t *tally_json(const struct tally_check *tally)
{
    json_t *o = json_object();
    put(o, "tally", measure_json(&tally->tally));
    put(o, "integral", measure_json(&tally->integral));
    put(o, "e_n", number(tally->e_n));
    put(o, "agrees", json_boolean(tally->agrees));
    put(o, "froze", json_boolean(tally->froze));
    put(o, "reset", json_boolean(tally->reset));
    put_text(o, "words", tally->words);
    return o;
}

static json_t *condition_json(const struct condition *c)
{
    json_t *o = json_object();
    put_text(o, "name", c->name);
    put_text(o, "was", c->was);
    put_text(o, "asked_for", c->asked_for);
    put(o, "known", json_boolean(c->known));
    put(o, "departs", json_boolean(c->departs));
    put(o, "effect_low", number(c->effect_lo));
    put(o, "effect_high", number(c->effect_hi));
    return o;
}

/* What a log's test came to, beyond its runs. */
static json_t *test_json(const struct findings *f)
{
    json_t *o = json_object(), *conditions = json_array();
    put(o, "charge_ah", measure_with_budget(&f->test_ah));
    put(o, "energy_wh", measure_with_budget(&f->test_wh));
    put(o, "mean_v", measure_json(&f->test_mean_v));
    put(o, "duration_s", measure_json(&f->test_duration_s));
    put(o, "start_s", number(f->test_start_s));
    put(o, "end_s", number(f->test_end_s));
    put(o, "mean_a", number(f->test_mean_a));
    put(o, "peak_a", number(f->test_peak_a));
    put(o, "mean_degc", number(f->test_degc));
    put(o, "load_exponent", measure_json(&f->load.exponent));
    put_text(o, "load", f->load.words);
    put_text(o, "full_before", f->full_words);
    put(o, "rated_charge_passed_s", measure_json(&f->rated_ah.at_s));
    put(o, "rated_energy_passed_s", measure_json(&f->rated_wh.at_s));
    if (f->tally_ah.present)
        put(o, "tally_ah", tally_json(&f->tally_ah));
    if (f->tally_wh.present)
        put(o, "tally_wh", tally_json(&f->tally_wh));
    for (int k = 0; k < f->condition_count; k++)
        json_array_append_new(conditions, condition_json(&f->conditions[k]));
    put(o, "conditions", conditions);
    put(o, "efficiency_charge", measure_json(&f->efficiency_charge));
    put(o, "efficiency_energy", measure_json(&f->efficiency_energy));
    put(o, "wake_ah", measure_json(&f->wake_ah));
    return o;
}

static void add_columns(json_t *columns, size_t log, const struct record *record)
{
    for (size_t k = 0; !record->by_eye && k < record->log.column_count; k++) {
        const struct column_choice *c = &record->log.columns[k];
        json_t *o = json_object();
        put(o, "log", json_integer((json_int_t)log));
        put(o, "number", json_integer(c->number));
        put_text(o, "header", c->header);
        put_text(o, "taken_for", role_name(c->role, c->channel));
        put_text(o, "unit", c->unit);
        put_text(o, "why", c->why);
        json_array_append_new(columns, o);
    }
}

static json_t *bad_json(const struct bad_row *bad)
{
    json_t *o = json_object();
    put(o, "line", json_integer(bad->line));
    put(o, "column", json_integer(bad->column));
    put_text(o, "text", bad->text);
    put_text(o, "why", bad->why);
    return o;
}

static json_t *log_json(const struct record *record)
{
    json_t *o = json_object();
    put_text(o, "path", record->path);
    put(o, "by_eye", json_boolean(record->by_eye));
    if (record->by_eye) {
        put(o, "readings", json_integer((json_int_t)record->sightings.count));
        return o;
    }
    const struct log *log = &record->log;
    json_t *bad = json_array();
    size_t listed = log->bad_count < LOG_BAD_ROWS_LISTED ? log->bad_count : LOG_BAD_ROWS_LISTED;
    for (size_t k = 0; k < listed; k++)
        json_array_append_new(bad, bad_json(&log->bad[k]));
    put(o, "readings", json_integer((json_int_t)log->series.count));
    put(o, "rows_left_out", json_integer((json_int_t)log->bad_count));
    put(o, "missing_cells", json_integer((json_int_t)log->missing_cells));
    put(o, "out_of_order", json_integer((json_int_t)log->out_of_order));
    put(o, "bad_rows", bad);
    put_text(o, "current_direction", record->direction.sign > 0 ? "discharge positive" : "charge positive");
    put_text(o, "direction_why", record->direction.why);
    return o;
}

static json_t *claim_json(const struct decision *d)
{
    static const char *const senses[] = {"at least", "at most", "about", "true"};
    json_t *o = json_object();
    put_text(o, "claim", d->claim->slug);
    put_text(o, "name", d->claim->name);
    put_text(o, "sense", senses[d->claim->sense]);
    put(o, "stated", number(d->claim->stated));
    put_text(o, "unit", quantity_symbol(d->claim->quantity));
    put_text(o, "as_stated", d->claim->as_stated);
    put_text(o, "where", d->claim->where);
    put(o, "measured", measure_with_budget(&d->measured));
    put(o, "probability", number(d->probability));
    put_text(o, "verdict", verdict_name(d->verdict));
    put(o, "reached", number(d->reached));
    put_text(o, "found", d->found);
    put_text(o, "reason", d->reason);
    put_text(o, "would_decide", d->would_decide);
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
        put(o, names[j], measure_with_budget(&totals[j]));
    return o;
}

static json_t *notices_json(const struct assessment *assessment)
{
    json_t *all = json_array();
    for (size_t k = 0; k < assessment->notices.count; k++) {
        json_t *o = json_object();
        put_text(o, "topic", assessment->notices.items[k].topic);
        put_text(o, "text", assessment->notices.items[k].text);
        json_array_append_new(all, o);
    }
    for (size_t r = 0; r < assessment->record_count; r++) {
        const struct record *record = &assessment->records[r];
        for (size_t k = 0; !record->by_eye && k < record->log.notices.count; k++) {
            const struct notice *n = &record->log.notices.items[k];
            json_t *o = json_object();
            put(o, "log", json_integer((json_int_t)r));
            put_text(o, "topic", n->topic);
            put_text(o, "text", n->text);
            put(o, "line", n->line > 0 ? json_integer(n->line) : json_null());
            json_array_append_new(all, o);
        }
    }
    return all;
}

struct lists {
    json_t *logs, *columns, *runs, *phases, *steps, *capacity, *bursts, *tests;
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
    for (size_t k = 0; k < f->capacity_count; k++)
        json_array_append_new(lists->capacity, capacity_json(log, &f->capacities[k]));
    for (size_t k = 0; k < f->burst_count; k++)
        json_array_append_new(lists->bursts, burst_json(log, &f->bursts[k]));
    json_array_append_new(lists->tests, f->has_test ? test_json(f) : json_null());
}

static json_t *comparisons_json(const struct assessment *assessment)
{
    json_t *all = json_array();
    for (size_t k = 0; k < assessment->comparison_count; k++) {
        const struct comparison *c = &assessment->comparisons[k];
        json_t *o = json_object();
        put(o, "log", json_integer((json_int_t)c->second));
        put(o, "less_log", json_integer((json_int_t)c->first));
        put(o, "charge_ah", measure_json(&c->charge_ah.value));
        put(o, "energy_wh", measure_json(&c->energy_wh.value));
        put(o, "variance_cancelled", number(c->charge_ah.cancelled));
        json_array_append_new(all, o);
    }
    return all;
}

static json_t *peukert_json(const struct peukert *peukert)
{
    json_t *o = json_object();
    put(o, "points", json_integer(peukert->points));
    put(o, "exponent", measure_json(&peukert->exponent));
    put(o, "confounded", json_boolean(peukert->confounded));
    put_text(o, "words", peukert->words);
    return o;
}

static json_t *claims_json(const struct assessment *assessment)
{
    json_t *claims = json_array();
    for (size_t k = 0; k < assessment->decision_count; k++)
        json_array_append_new(claims, claim_json(&assessment->decisions[k]));
    return claims;
}

static void put_head(json_t *o)
{
    put_text(o, "program", "rundown");
    put_text(o, "version", RUNDOWN_VERSION);
    put(o, "form", json_integer(JSON_FORM));
}

/* Writes the document and lets it go. */
static void finish(json_t *o, struct text *text)
{
    char *dump = json_dumps(o, JSON_INDENT(1) | JSON_REAL_PRECISION(12));
    text_add(text, dump != NULL ? dump : "null");
    text_add(text, "\n");
    free(dump);
    json_decref(o);
}

void json_assessment(const struct assessment *assessment, struct text *text)
{
    struct lists lists = {json_array(), json_array(), json_array(), json_array(),
                          json_array(), json_array(), json_array(), json_array()};
    for (size_t k = 0; k < assessment->record_count; k++)
        add_record(&lists, k, &assessment->records[k]);
    json_t *o = json_object();
    put_head(o);
    put(o, "invented_data", json_boolean(assessment->invented));
    put_text(o, "sample", assessment->label.sample);
    put_text(o, "rig", assessment->rig.name);
    put_text(o, "summary", assessment->summary);
    put(o, "claims", claims_json(assessment));
    put(o, "totals", totals_json(assessment));
    put(o, "tests", lists.tests);
    put(o, "capacity", lists.capacity);
    put(o, "runs", lists.runs);
    put(o, "phases", lists.phases);
    put(o, "steps", lists.steps);
    put(o, "bursts", lists.bursts);
    put(o, "differences", comparisons_json(assessment));
    put(o, "peukert", peukert_json(&assessment->peukert));
    put(o, "logs", lists.logs);
    put(o, "columns", lists.columns);
    put(o, "warnings", notices_json(assessment));
    finish(o, text);
}

static json_t *prospect_json(const struct prospect *p)
{
    json_t *o = json_object();
    put_text(o, "claim", p->claim->slug);
    put_text(o, "name", p->claim->name);
    put_text(o, "as_stated", p->claim->as_stated);
    put(o, "stated", number(p->claim->stated));
    put_text(o, "unit", quantity_symbol(p->claim->quantity));
    put_text(o, "outlook", outlook_name(p->outlook));
    put(o, "half_width", number(p->half_width));
    put_text(o, "reason", p->reason);
    put_text(o, "cheapest_change", p->cheapest);
    return o;
}

static json_t *plan_step_json(const struct plan_step *step)
{
    json_t *o = json_object();
    put(o, "at_s", number(step->at_s));
    put(o, "within_s", number(step->within_s));
    put_text(o, "what", step->what);
    put_text(o, "write_down", step->write_down);
    return o;
}

static json_t *draw_json(const struct draw *draw)
{
    json_t *o = json_object();
    put(o, "power_w", number(draw->w));
    put(o, "current_a", number(draw->a));
    put_text(o, "loads", draw->words);
    return o;
}

void json_plan(const struct plan *plan, struct text *text)
{
    json_t *prospects = json_array(), *steps = json_array(), *o = json_object();
    for (size_t k = 0; k < plan->count; k++)
        json_array_append_new(prospects, prospect_json(&plan->prospects[k]));
    for (int k = 0; k < plan->step_count; k++)
        json_array_append_new(steps, plan_step_json(&plan->steps[k]));
    put_head(o);
    put_text(o, "sample", plan->sample);
    put(o, "claims", prospects);
    put(o, "base", draw_json(&plan->base));
    put(o, "burst", draw_json(&plan->burst));
    put(o, "burst_s", number(plan->burst_s));
    put(o, "burst_at_ah", number(plan->burst_at_ah));
    put(o, "peak", draw_json(&plan->peak));
    put(o, "peak_s", number(plan->peak_s));
    put(o, "rest_s", number(plan->rest_s));
    put(o, "duration_s", number(plan->duration_s));
    put(o, "protocol", steps);
    put_text(o, "warning", plan->warning);
    finish(o, text);
}
