#include "report/rig_json.h"

#include "base/number.h"

/* Readings at which an accuracy is shown: those of a 12 V pack under a base load; common practice, no source. */
static const double usual[CHANNELS] = {13, 20, 260, 25, 20, 100, 1280};

static void add_amount(struct text *text, double value, double u, const char *symbol)
{
    char number[64];
    number_print(value, u, number, sizeof number);
    text_addf(text, "%s %s", number, symbol);
}

/* `± 0.033 V at 13 V`; digits by themselves where their step is not stated. */
static void add_meaning(struct text *text, const struct rig *rig, enum channel channel)
{
    const struct accuracy *a = &rig->of[channel];
    double bound = accuracy_bound(a, usual[channel], 0);
    if (bound > 0) {
        text_add(text, "± ");
        add_amount(text, bound, bound, channel_symbol(channel));
    }
    if (a->digits > 0 && !(a->resolution > 0))
        text_addf(text, "%s%.4g digit%s", bound > 0 ? " and " : "± ", a->digits, a->digits > 1 ? "s" : "");
    if (text->length == 0)
        return;
    text_addf(text, " at %.4g %s", usual[channel], channel_symbol(channel));
}

static json_t *channel_json(const struct rig *rig, enum channel channel)
{
    const struct accuracy *a = &rig->of[channel];
    struct text means = TEXT_EMPTY;
    json_t *o = json_object();
    add_meaning(&means, rig, channel);
    json_put_words(o, "name", channel_name(channel));
    json_put_words(o, "unit", channel_symbol(channel));
    json_put_words(o, "accuracy", a->as_printed);
    json_put_words(o, "means", text_string(&means));
    json_put(o, "resolution", json_number(a->resolution > 0 ? a->resolution : NAN));
    json_put(o, "stated", json_boolean(a->stated));
    text_free(&means);
    return o;
}

__attribute__((format(printf, 3, 4)))
static void add_fact(json_t *list, const char *name, const char *words, ...)
{
    char buffer[160];
    va_list args;
    va_start(args, words);
    vsnprintf(buffer, sizeof buffer, words, args);
    va_end(args);
    json_t *o = json_object();
    json_put_words(o, "name", name);
    json_put_words(o, "words", buffer);
    json_array_append_new(list, o);
}

static json_t *whole_json(const struct rig *rig)
{
    json_t *list = json_array();
    const struct accuracy *current = &rig->of[CHANNEL_CURRENT];
    if (current->shunt_gain > 0)
        add_fact(list, "shunt", "± %.3g %% of the reading", 100 * current->shunt_gain);
    add_fact(list, "clock", "± %.3g ppm", 1e6 * rig->clock);
    if (rig->frame_s > 0)
        add_fact(list, "film", "an instant is told to ± %.2g s", rig->frame_s);
    if (rig->averaging_s > 0)
        add_fact(list, "averaging", "a meter averages over %.3g s", rig->averaging_s);
    if (isnan(rig->skew_s))
        add_fact(list, "skew", "not stated: volts and amps are taken to be up to a sample apart");
    else
        add_fact(list, "skew", "volts and amps up to %.3g s apart", rig->skew_s);
    if (rig->sense_leads)
        add_fact(list, "leads", "volts are taken at the terminals");
    else
        add_fact(list, "leads", "%.3g ± %.2g mΩ between sample and voltmeter", 1e3 * rig->lead_ohm,
                 1e3 * rig->lead_halfwidth_ohm);
    if (isnan(rig->ripple))
        add_fact(list, "ripple", "not stated");
    else
        add_fact(list, "ripple", "%.3g %% rms of the current", 100 * rig->ripple);
    add_fact(list, "tally", rig->tally_shares_meter ? "Ah and Wh come from the same shunt" : "Ah and Wh come from a meter of their own");
    if (!isnan(rig->probe_tau_s))
        add_fact(list, "probe lag", "%.3g s", rig->probe_tau_s);
    return list;
}

static json_t *source_json(const struct link_channel *channel)
{
    json_t *o = json_object();
    json_put_words(o, "name", channel->name);
    json_put_words(o, "unit", quantity_symbol(channel->quantity));
    json_put_words(o, "source", channel->source);
    json_put(o, "kept_only", json_boolean(channel->channel == CHANNELS));
    return o;
}

static json_t *link_json(const struct link *link)
{
    json_t *o = json_object(), *channels = json_array();
    for (int k = 0; k < link->channel_count; k++)
        json_array_append_new(channels, source_json(&link->channels[k]));
    json_put_words(o, "name", link->name);
    json_put_words(o, "driver", link->driver);
    json_put_words(o, "address", link->address);
    json_put(o, "period_s", json_number(link->period_s));
    json_put(o, "channels", channels);
    return o;
}

json_t *json_of_rig(const struct rig *rig, const struct links *links)
{
    json_t *o = json_object(), *channels = json_array(), *instruments = json_array();
    for (int k = 0; k < CHANNELS; k++)
        json_array_append_new(channels, channel_json(rig, (enum channel)k));
    for (size_t k = 0; k < links->count; k++)
        json_array_append_new(instruments, link_json(&links->items[k]));
    json_put_words(o, "title", rig->name);
    json_put(o, "channels", channels);
    json_put(o, "whole", whole_json(rig));
    json_put(o, "instruments", instruments);
    json_put(o, "rehearsal_rate", links->clock_rate != 1 ? json_number(links->clock_rate) : json_null());
    return o;
}

json_t *json_of_loads(const struct loads *loads)
{
    json_t *o = json_object(), *items = json_array();
    for (size_t k = 0; k < loads->count; k++) {
        const struct load *load = &loads->loads[k];
        json_t *one = json_object();
        json_put_words(one, "name", load->name);
        json_put(one, "power_w", json_number(load->power_w));
        json_put(one, "current_a", json_number(load->current_a));
        json_put(one, "behind_inverter", json_boolean(load->behind_inverter));
        json_put(one, "fills_wh", json_number(load->fills_wh));
        json_array_append_new(items, one);
    }
    json_put(o, "loads", items);
    if (loads->inverter) {
        json_t *inverter = json_object();
        json_put(inverter, "power_w", json_number(loads->inverter_w));
        json_put(inverter, "idle_w", json_number(loads->idle_w));
        json_put(inverter, "efficiency", json_number(loads->efficiency));
        json_put(inverter, "low_v", json_number(loads->low_v));
        json_put(o, "inverter", inverter);
    } else {
        json_put(o, "inverter", json_null());
    }
    return o;
}

static void print_half(const struct prospect *p, char *buffer, size_t size)
{
    char number[64];
    number_print(p->half_width, p->half_width, number, sizeof number);
    snprintf(buffer, size, "± %s %s", number, quantity_symbol(p->claim->quantity));
}

/* A claim that the improvement bears on: its interval now, halved and ideal. */
static json_t *borne_json(const struct plan *now, const struct improvement *item, size_t k)
{
    char words[80];
    json_t *o = json_object();
    json_put_words(o, "claim", now->prospects[k].claim->slug);
    json_put_words(o, "name", now->prospects[k].claim->name);
    print_half(&now->prospects[k], words, sizeof words);
    json_put_words(o, "now", words);
    if (item->halved.count > 0) {
        print_half(&item->halved.prospects[k], words, sizeof words);
        json_put_words(o, "halved", words);
    }
    print_half(&item->ideal.prospects[k], words, sizeof words);
    json_put_words(o, "ideal", words);
    json_put(o, "half_width", json_number(now->prospects[k].half_width));
    json_put(o, "halved_half_width", json_number(item->halved.count > 0 ? item->halved.prospects[k].half_width : NAN));
    json_put(o, "ideal_half_width", json_number(item->ideal.prospects[k].half_width));
    json_put_words(o, "outlook", outlook_name(now->prospects[k].outlook));
    json_put_words(o, "ideal_outlook", outlook_name(item->ideal.prospects[k].outlook));
    return o;
}

json_t *json_of_improvements(const struct plan *now, const struct improvements *improvements)
{
    json_t *list = json_array();
    for (size_t i = 0; i < improvements->count; i++) {
        const struct improvement *item = &improvements->items[i];
        json_t *o = json_object(), *claims = json_array();
        for (size_t k = 0; k < now->count; k++)
            if (item->ideal.prospects[k].half_width < now->prospects[k].half_width)
                json_array_append_new(claims, borne_json(now, item, k));
        json_put_words(o, "part", improvable_name(item->what));
        json_put(o, "stated", json_boolean(item->stated));
        json_put(o, "halved_brings", json_number(item->halved_brings));
        json_put(o, "ideal_brings", json_number(item->ideal_brings));
        json_put(o, "settles", json_integer((json_int_t)item->settles));
        json_put(o, "claims", claims);
        json_array_append_new(list, o);
    }
    return list;
}
