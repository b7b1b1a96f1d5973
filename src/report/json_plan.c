#include "report/json.h"
#include "report/cautions.h"
#include "report/json_parts.h"
#include "report/plan_text.h"

static json_t *prospect_json(const struct prospect *p)
{
    json_t *o = json_object();
    json_put_words(o, "claim", p->claim->slug);
    json_put_words(o, "name", p->claim->name);
    json_put_words(o, "as_stated", p->claim->as_stated);
    json_put(o, "stated", json_number(p->claim->stated));
    json_put_words(o, "unit", quantity_symbol(p->claim->quantity));
    json_put_words(o, "outlook", outlook_name(p->outlook));
    json_put(o, "half_width", json_number(p->half_width));
    json_put_words(o, "reason", p->reason);
    json_put_words(o, "cheapest_change", p->cheapest);
    return o;
}

static json_t *plan_step_json(const struct plan *plan, const struct plan_step *step)
{
    json_t *o = json_object();
    char when[48];
    plan_when(plan, step, when, sizeof when);
    json_put_words(o, "act", plan_act_name(step->act));
    json_put_words(o, "when", when);
    json_put(o, "at_s", json_number(step->at_s));
    json_put(o, "within_s", json_number(step->within_s));
    json_put_words(o, "what", step->what);
    json_put_words(o, "write_down", step->write_down);
    json_put_words(o, "caution", caution_of(step->act) != NULL ? caution_of(step->act) : "");
    return o;
}

static json_t *draw_json(const struct draw *draw)
{
    json_t *o = json_object();
    json_put(o, "power_w", json_number(draw->w));
    json_put(o, "current_a", json_number(draw->a));
    json_put_words(o, "loads", draw->words);
    return o;
}

json_t *json_of_plan(const struct plan *plan)
{
    json_t *prospects = json_array(), *steps = json_array(), *o = json_object();
    for (size_t k = 0; k < plan->count; k++)
        json_array_append_new(prospects, prospect_json(&plan->prospects[k]));
    for (int k = 0; k < plan->step_count; k++)
        json_array_append_new(steps, plan_step_json(plan, &plan->steps[k]));
    json_head(o);
    json_put_words(o, "sample", plan->sample);
    json_put(o, "claims", prospects);
    json_put(o, "base", draw_json(&plan->base));
    json_put(o, "burst", draw_json(&plan->burst));
    json_put(o, "burst_s", json_number(plan->burst_s));
    json_put(o, "burst_at_ah", json_number(plan->burst_at_ah));
    json_put(o, "peak", draw_json(&plan->peak));
    json_put(o, "peak_s", json_number(plan->peak_s));
    json_put(o, "start_clock_s", json_number(plan->start_clock_s));
    json_put(o, "rest_s", json_number(plan->rest_s));
    json_put(o, "duration_s", json_number(plan->duration_s));
    json_put(o, "protocol", steps);
    json_put_words(o, "warning", plan->warning);
    return o;
}

void json_plan(const struct plan *plan, struct text *text)
{
    json_finish(json_of_plan(plan), text);
}
