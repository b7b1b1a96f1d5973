#include "bench/view_json.h"

static json_t *measure_json(const struct measure *measure)
{
    json_t *object = json_object();
    json_put(object, "value", json_number(measure->value));
    json_put(object, "lo", json_number(measure->lo));
    json_put(object, "hi", json_number(measure->hi));
    if (!measure_known(measure))
        json_put_words(object, "cannot_tell", measure->why);
    return object;
}

static void put_forecast(json_t *object, const struct forecast *f)
{
    json_put(object, "charge_ah", measure_json(&f->ah_now));
    json_put(object, "energy_wh", measure_json(&f->wh_now));
    json_put(object, "share_charge", json_number(f->share_ah));
    json_put(object, "share_energy", json_number(f->share_wh));
    json_put(object, "half_way_s", measure_json(&f->half_way_s));
    json_put(object, "rated_at_s", measure_json(&f->rated_at_s));
    json_put(object, "cut_off_at_s", measure_json(&f->cut_off_at_s));
    json_put(object, "reaches_rated", json_number(f->reaches_rated));
    json_put(object, "knee", json_boolean(f->knee));
    json_put_words(object, "given", f->given);
}

json_t *bench_view_json(const struct bench_view *view)
{
    json_t *object = json_object();
    json_put(object, "t_s", json_number(view->elapsed_s));
    json_put(object, "voltage_v", json_number(view->v));
    json_put(object, "current_a", json_number(view->a));
    json_put(object, "power_w", json_number(view->w));
    json_put(object, "temperature_degc", json_number(view->degc));
    json_put(object, "passed_ah", json_number(view->ah));
    json_put(object, "passed_wh", json_number(view->wh));
    if (view->forecast != NULL)
        put_forecast(object, view->forecast);
    json_put(object, "committed", json_boolean(view->committed));
    json_put(object, "behind_s", json_number(view->behind_s));
    json_put(object, "unwritable", json_boolean(view->unwritable));
    json_put(object, "readings", json_integer((json_int_t)view->readings));
    json_put(object, "lost", json_integer((json_int_t)view->lost));
    json_put(object, "instruments", json_integer((json_int_t)view->instruments));
    json_put(object, "silent_instruments", json_integer((json_int_t)view->lost_instruments));
    return object;
}

json_t *call_json(const struct call *call)
{
    json_t *object = json_object();
    json_put_words(object, "call", call_kind_name(call->kind));
    json_put(object, "t_s", json_number(call->t_s));
    json_put(object, "urgent", json_boolean(call->urgent));
    json_put_words(object, "text", call->text);
    return object;
}
