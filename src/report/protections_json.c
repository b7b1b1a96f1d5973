#include "report/protections_json.h"

#include "battery/trips.h"
#include "report/json_parts.h"

static json_t *entry_of(size_t log)
{
    json_t *o = json_object();
    json_put(o, "log", json_integer((json_int_t)log));
    return o;
}

static json_t *trip_json(size_t log, const struct trip *trip)
{
    json_t *o = entry_of(log);
    json_put(o, "run", json_integer((json_int_t)trip->run));
    json_put(o, "charging", json_boolean(trip->charging));
    json_put_words(o, "way", trip_way_name(trip->way));
    json_put(o, "at_s", json_number(trip->at_s));
    json_put(o, "at_halfwidth_s", json_number(trip->at_halfwidth_s));
    json_put_words(o, "resolution", trip->resolution);
    json_put(o, "from_a", json_number(trip->from_a));
    json_put(o, "released_s", json_number(trip->released_s));
    json_put(o, "released_halfwidth_s", json_number(trip->released_halfwidth_s));
    json_put_words(o, "stimulus", trip->stimulus);
    json_put_words(o, "place", trip->place);
    json_put(o, "delay_s", json_measure(&trip->delay_s, QUANTITY_TIME));
    json_put(o, "trip_degc", json_measure(&trip->trip_degc, QUANTITY_TEMPERATURE));
    json_put(o, "release_degc", json_measure(&trip->release_degc, QUANTITY_TEMPERATURE));
    json_put(o, "hysteresis_k", json_measure(&trip->hysteresis_k, QUANTITY_NONE));
    json_put(o, "hysteresis_of_place", json_boolean(trip->hysteresis_of_place));
    json_put(o, "slope_k_per_s", json_number(trip->slope_k_per_s));
    json_put(o, "release_slope_k_per_s", json_number(trip->release_slope_k_per_s));
    json_put(o, "threshold_degc", json_measure(&trip->threshold_degc, QUANTITY_TEMPERATURE));
    json_put(o, "release_threshold_degc", json_measure(&trip->release_threshold_degc, QUANTITY_TEMPERATURE));
    json_put_words(o, "usual", trip->usual);
    json_put_words(o, "words", trip->words);
    return o;
}

/* Of all logs together. */
static json_t *repeats_json(const struct assessment *assessment)
{
    static const struct {
        const char *key;
        enum quantity quantity;
    } of[TRIP_VALUES] = {
        [TRIP_DEGC] = {"trip_degc", QUANTITY_TEMPERATURE},           [TRIP_RELEASE_DEGC] = {"release_degc", QUANTITY_TEMPERATURE},
        [TRIP_THRESHOLD] = {"threshold_degc", QUANTITY_TEMPERATURE}, [TRIP_RELEASE_THRESHOLD] = {"release_threshold_degc", QUANTITY_TEMPERATURE},
        [TRIP_HYSTERESIS] = {"hysteresis_k", QUANTITY_NONE},
    };
    size_t count;
    struct trip *trips = assessment_trips(assessment, &count);
    json_t *list = json_array();
    for (enum trip_way way = TRIP_COLD; way <= TRIP_HOT; way++) {
        struct trip_repeats repeats = trips_repeats(trips, count, true, way);
        if (repeats.count < 2)
            continue;
        json_t *o = json_object();
        json_put_words(o, "way", trip_way_name(way));
        json_put(o, "count", json_integer((json_int_t)repeats.count));
        for (enum trip_value value = TRIP_DEGC; value < TRIP_VALUES; value++)
            json_put(o, of[value].key, json_measure(&repeats.of[value], of[value].quantity));
        json_array_append_new(list, o);
    }
    free(trips);
    return list;
}

static json_t *hold_json(size_t log, const struct hold *hold)
{
    json_t *o = entry_of(log);
    json_put(o, "run", json_integer((json_int_t)hold->run));
    json_put(o, "charging", json_boolean(hold->charging));
    json_put(o, "from_s", json_number(hold->from_s));
    json_put(o, "a", json_measure(&hold->a, QUANTITY_CURRENT));
    json_put(o, "held_s", json_measure(&hold->held_s, QUANTITY_TIME));
    json_put_words(o, "end", hold_end_name(hold->end));
    json_put(o, "bursts", json_integer(hold->bursts));
    json_put(o, "degc", json_number(hold->degc));
    json_put_words(o, "words", hold->words);
    return o;
}

static json_t *low_stop_json(size_t log, const struct low_stop *stop)
{
    json_t *o = entry_of(log);
    json_put(o, "run", json_integer((json_int_t)stop->run));
    json_put(o, "end_v", json_measure(&stop->end_v, QUANTITY_VOLTAGE));
    json_put(o, "end_cell_v", json_number(stop->end_cell_v));
    json_put(o, "load_a", json_measure(&stop->load_a, QUANTITY_CURRENT));
    json_put(o, "v_plus_ir", json_number(stop->v_plus_ir));
    json_put(o, "recovery_v", json_measure(&stop->recovery_v, QUANTITY_VOLTAGE));
    json_put(o, "recovery_after_s", json_number(stop->recovery_after_s));
    json_put_words(o, "woke_by", stop->woke_by);
    json_put(o, "woke_after_s", json_measure(&stop->woke_after_s, QUANTITY_TIME));
    json_put_words(o, "words", stop->words);
    return o;
}

static json_t *warming_json(size_t log, const struct warming *warming)
{
    json_t *o = entry_of(log);
    json_put(o, "hold", json_integer((json_int_t)warming->hold));
    json_put(o, "from_degc", json_number(warming->from_degc));
    json_put(o, "to_degc", json_number(warming->to_degc));
    json_put(o, "final_degc", json_measure(&warming->final_degc, QUANTITY_TEMPERATURE));
    json_put(o, "tau_s", json_measure(&warming->tau_s, QUANTITY_TIME));
    json_put(o, "lasted", json_number(warming->lasted));
    json_put(o, "equilibrium", json_boolean(warming->equilibrium));
    json_put_words(o, "words", warming->words);
    return o;
}

void protections_json(const struct assessment *assessment, json_t *o)
{
    json_t *trips = json_array(), *holds = json_array(), *low_stops = json_array(), *warmings = json_array();
    for (size_t log = 0; log < assessment->record_count; log++) {
        const struct findings *f = &assessment->records[log].findings;
        for (size_t k = 0; k < f->trip_count; k++)
            json_array_append_new(trips, trip_json(log, &f->trips[k]));
        for (size_t k = 0; k < f->hold_count; k++)
            json_array_append_new(holds, hold_json(log, &f->holds[k]));
        for (size_t k = 0; k < f->low_stop_count; k++)
            json_array_append_new(low_stops, low_stop_json(log, &f->low_stops[k]));
        for (size_t k = 0; k < f->warming_count; k++)
            json_array_append_new(warmings, warming_json(log, &f->warmings[k]));
    }
    json_put(o, "trips", trips);
    json_put(o, "trip_repeats", repeats_json(assessment));
    json_put(o, "holds", holds);
    json_put(o, "low_stops", low_stops);
    json_put(o, "warmings", warmings);
}
