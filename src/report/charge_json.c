#include "report/charge_json.h"

#include "numeric/budget.h"
#include "report/json_parts.h"

#include <stdint.h>

json_t *charge_json_charging(size_t log, const struct findings *findings, const struct charging *c)
{
    const struct run *run = &findings->runs[c->run];
    json_t *o = json_object();
    json_put(o, "log", json_integer((json_int_t)log));
    json_put(o, "run", json_integer((json_int_t)c->run));
    json_put(o, "every_s", json_number(c->every_s));
    json_put(o, "charge_ah", json_measure(&run->charge_ah, QUANTITY_CHARGE));
    json_put(o, "energy_wh", json_measure(&run->energy_wh, QUANTITY_ENERGY));
    json_put(o, "constant_a", json_measure(&c->constant_a, QUANTITY_CURRENT));
    json_put(o, "constant_from_s", json_number(c->constant_from_s));
    json_put(o, "constant_to_s", json_number(c->constant_to_s));
    json_put(o, "held_v", json_measure(&c->held_v, QUANTITY_VOLTAGE));
    json_put(o, "held_from_s", json_number(c->held_from_s));
    json_put(o, "held_to_s", json_number(c->held_to_s));
    json_put(o, "tail_a", json_measure(&c->tail_a, QUANTITY_CURRENT));
    json_put(o, "tail_it", json_measure(&c->tail_it, QUANTITY_RATE));
    json_put(o, "end_v", json_measure(&c->end_v, QUANTITY_VOLTAGE));
    json_put(o, "end_cell_v", json_measure(&c->end_cell_v, QUANTITY_VOLTAGE));
    json_put(o, "highest_a", json_measure(&c->highest_a, QUANTITY_CURRENT));
    json_put(o, "highest_held_s", json_number(c->highest_held_s));
    json_put(o, "restarts", json_integer(c->restarts));
    json_put_words(o, "ended_by", ended_by_name(run->ended.by));
    json_put_words(o, "evidence", run->ended.evidence);
    json_put_words(o, "full", full_shown_name(c->full));
    json_put_words(o, "full_words", c->full_words);
    json_put_words(o, "balancing", balancing_name(c->balancing));
    json_put_words(o, "balancing_words", c->balancing_words);
    return o;
}

static json_t *constant_json(const struct settling *s, int k)
{
    json_t *o = json_object();
    struct measure tau = measure_of(s->tau_s[k]);
    measure_part(&tau, (struct part){.cause = CAUSE_FIT, .shape = SHAPE_NORMAL, .u = s->tau_u_s[k], .dof = INFINITY,
                                     .what = "fit of the settling", .remedy = "let it rest longer"});
    budget_close(&tau);
    json_put(o, "a_v", json_number(s->a_v[k]));
    json_put(o, "tau_s", json_measure(&tau, QUANTITY_TIME));
    return o;
}

json_t *charge_json_resting(size_t log, const struct resting *r)
{
    const struct settling *s = &r->settling;
    json_t *o = json_object(), *constants = json_array();
    json_put(o, "log", json_integer((json_int_t)log));
    json_put(o, "run", r->run == SIZE_MAX ? json_null() : json_integer((json_int_t)r->run));
    json_put_words(o, "after", r->after_charge ? "charge" : r->after_discharge ? "discharge" : "");
    json_put(o, "from_s", json_number(r->from_s));
    json_put(o, "lasted_s", json_number(s->lasted_s));
    json_put(o, "last_v", json_number(s->last_v));
    for (int k = 0; k < s->terms; k++)
        json_array_append_new(constants, constant_json(s, k));
    json_put(o, "constants", constants);
    json_put(o, "settled_v", json_measure(&s->settled_v, QUANTITY_VOLTAGE));
    json_put(o, "wait_s", json_number(s->wait_s));
    json_put(o, "residual_v", json_number(s->residual_v));
    json_put_words(o, "words", r->words);
    return o;
}
