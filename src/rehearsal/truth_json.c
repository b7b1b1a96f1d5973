#include "rehearsal/truth_json.h"

#include "base/json_value.h"

static const char *const segment_words[] = {[SEGMENT_REST] = "rest",
                                            [SEGMENT_POWER] = "constant power",
                                            [SEGMENT_CURRENT] = "constant current",
                                            [SEGMENT_RESISTANCE] = "resistance",
                                            [SEGMENT_CHARGE] = "charge"};
static const char *const segment_units[] = {[SEGMENT_REST] = "",
                                            [SEGMENT_POWER] = "_w",
                                            [SEGMENT_CURRENT] = "_a",
                                            [SEGMENT_RESISTANCE] = "_ohm",
                                            [SEGMENT_CHARGE] = "_a"};
static const char *const end_words[] = {[END_OPERATOR] = "operator",
                                        [END_UNDER_VOLTAGE] = "board opened for an empty cell",
                                        [END_OVER_CURRENT] = "board opened for too much current",
                                        [END_LOAD] = "load gave up"};
static const char *const state_words[] = {[BMS_CLOSED] = "closed",
                                          [BMS_DARK_UNDER_VOLTAGE] = "dark for an empty cell",
                                          [BMS_DARK_OVER_CURRENT] = "dark for too much current",
                                          [BMS_CHARGE_STOPPED] = "charging stopped for a full cell"};
static const char *const climate_words[] = {
    [BMS_MILD] = "mild", [BMS_TOO_COLD] = "too cold to charge", [BMS_TOO_HOT] = "too hot to charge"};

static void put(json_t *object, const char *key, double value)
{
    json_put(object, key, json_number(value));
}

static json_t *pack_of(const struct rehearsal *one)
{
    const struct pack_make *make = &one->make;
    json_t *pack = json_object(), *cells = json_array();
    for (int k = 0; k < make->cells; k++) {
        json_t *cell = json_object();
        put(cell, "capacity_ah", make->capacity_ah[k]);
        put(cell, "resists", make->resists[k] > 0 ? make->resists[k] : 1);
        put(cell, "charged_at_start", one->fresh.cells[k].soc);
        put(cell, "charged_at_end", one->left.cells[k].soc);
        json_array_append_new(cells, cell);
    }
    json_put(pack, "cells", cells);
    put(pack, "ambient_degc", make->ambient_degc);
    put(pack, "stored_at_start_wh", pack_stored_wh(&one->fresh));
    put(pack, "stored_at_end_wh", pack_stored_wh(&one->left));
    put(pack, "heat_wh", one->truth.heat_wh);
    return pack;
}

static json_t *amounts_of(double ah, double wh)
{
    json_t *amounts = json_object();
    put(amounts, "charge_ah", ah);
    put(amounts, "energy_wh", wh);
    put(amounts, "mean_v", ah > 0 ? wh / ah : NAN);
    return amounts;
}

static json_t *end_of(const struct truth *truth)
{
    json_t *end = json_object();
    json_put_words(end, "how", end_words[truth->end]);
    put(end, "at_s", truth->end_s);
    put(end, "v", truth->end_v);
    put(end, "charge_ah", truth->end_ah);
    put(end, "energy_wh", truth->end_wh);
    return end;
}

/* The test, as a tester sees it: from the first load to the end of the discharge. */
static json_t *test_of(const struct truth *truth)
{
    double start_s = NAN, ah = 0, wh = 0;
    for (size_t k = 0; k < truth->count && truth->intervals[k].t_s < truth->end_s; k++) {
        const struct truth_interval *at = &truth->intervals[k];
        if (!(at->a > 0))
            continue;
        if (isnan(start_s))
            start_s = at->t_s;
        ah += at[1].charge_ah - at->charge_ah;
        wh += at[1].energy_wh - at->energy_wh;
    }
    json_t *test = amounts_of(ah, wh);
    put(test, "start_s", start_s);
    put(test, "duration_s", truth->end_s - start_s);
    return test;
}

/* The segment that a step begins; the count of segments when it begins none. */
static size_t segment_at(const struct rehearsal *one, double t_s)
{
    size_t k = 0;
    while (k < one->script->count && one->truth.segment_s[k] != t_s)
        k++;
    return k;
}

static json_t *steps_of(const struct rehearsal *one)
{
    const struct truth *truth = &one->truth;
    json_t *steps = json_array();
    for (size_t k = 0; k < truth->steps_count; k++) {
        const struct truth_step *step = &truth->steps[k];
        size_t segment = segment_at(one, step->at_s);
        json_t *object = json_object(), *ohm = json_array();
        put(object, "at_s", step->at_s);
        put(object, "from_a", step->from_a);
        put(object, "to_a", step->to_a);
        for (int i = 0; i < TRUTH_DELAYS; i++) {
            json_t *after = json_object();
            put(after, "delay_s", truth_delays_s[i]);
            put(after, "ohm", segment < one->script->count ? one->shown_ohm[segment][i] : NAN);
            put(after, "circuit_ohm", step->ohm[i]);
            json_array_append_new(ohm, after);
        }
        json_put(object, "resistance", ohm);
        json_array_append_new(steps, object);
    }
    return steps;
}

static json_t *segments_of(const struct rehearsal *one)
{
    json_t *segments = json_array();
    for (size_t k = 0; k < one->script->count; k++) {
        const struct load_segment *segment = &one->script->segments[k];
        json_t *object = json_object();
        char key[16];
        snprintf(key, sizeof key, "amount%s", segment_units[segment->kind]);
        put(object, "from_s", one->truth.segment_s[k]);
        put(object, "to_s", one->truth.segment_s[k + 1]);
        json_put_words(object, "what", segment_words[segment->kind]);
        if (segment->kind != SEGMENT_REST)
            put(object, key, segment->amount);
        if (segment->touches)
            put(object, "sensor_touched_degc", segment->touch_degc);
        if (one->script->is_burst[k]) {
            json_t *cost = json_object();
            put(cost, "energy_wh", one->costs[k].energy_wh);
            put(cost, "of_wh", one->costs[k].base_wh);
            put(cost, "charge_ah", one->costs[k].charge_ah);
            put(cost, "recovery_s", rehearsal_recovery_s);
            json_put(object, "burst_cost", cost);
        }
        json_array_append_new(segments, object);
    }
    return segments;
}

static json_t *events_of(const struct truth *truth)
{
    json_t *events = json_array();
    for (size_t k = 0; k < truth->events_count; k++) {
        const struct truth_event *event = &truth->events[k];
        json_t *object = json_object();
        put(object, "at_s", event->at_s);
        json_put_words(object, "board", state_words[event->state]);
        json_put_words(object, "sensor", climate_words[event->climate]);
        put(object, "sensor_degc", event->sensor_degc);
        put(object, "v", event->v);
        put(object, "a", event->a);
        json_array_append_new(events, object);
    }
    return events;
}

/* The errors that were drawn: what the rig only bounds. */
static json_t *meters_of(const struct rehearsal *one)
{
    json_t *meters = json_array();
    for (int k = 0; k < METERS; k++) {
        const struct instrument *meter = &one->meters[k];
        json_t *object = json_object();
        json_put_words(object, "name", script_meter_names[k]);
        put(object, "voltage_gain", meter->v.gain);
        put(object, "voltage_offset_v", meter->v.offset);
        put(object, "current_gain", meter->a.gain);
        put(object, "current_offset_a", meter->a.offset);
        put(object, "temperature_offset_degc", meter->degc.offset);
        put(object, "tally_offset_a", meter->tally_offset_a);
        put(object, "clock", meter->clock);
        put(object, "amps_late_s", meter->amp_lag_s);
        json_array_append_new(meters, object);
    }
    return meters;
}

void truth_json(const struct rehearsal *rehearsal, struct text *text)
{
    const struct truth *truth = &rehearsal->truth;
    json_t *all = json_object();
    json_put_words(all, "rehearsal", rehearsal->script->name);
    json_put(all, "invented", json_true());
    json_put(all, "seed", json_integer(rehearsal->script->seed));
    put(all, "lasts_s", truth->intervals[truth->count].t_s);
    json_put(all, "discharge", amounts_of(truth->discharge_ah, truth->discharge_wh));
    json_put(all, "charge", amounts_of(truth->charge_in_ah, truth->charge_in_wh));
    json_put(all, "test", test_of(truth));
    json_put(all, "end", end_of(truth));
    json_put(all, "segments", segments_of(rehearsal));
    json_put(all, "steps", steps_of(rehearsal));
    json_put(all, "events", events_of(truth));
    json_put(all, "pack", pack_of(rehearsal));
    json_put(all, "meters", meters_of(rehearsal));
    json_add_text(all, false, text);
    json_decref(all);
}
