/* The shelf as JSON: one sample, and the list of all. */
#include "report/shelf.h"

#include "base/number.h"
#include "book/digest.h"
#include "report/json.h"

enum detail { VALUE, INTERVAL };

/* In the unit `symbol`, or, where that is NULL, as people write the quantity. */
static void put_measure(json_t *object, const char *key, const struct measure *measure, enum quantity quantity,
                        const char *symbol, enum detail detail)
{
    char words[96];
    if (!measure_known(measure))
        return;
    json_t *o = json_object();
    if (symbol == NULL)
        measure_print_in(measure, quantity, words, sizeof words);
    else
        measure_print(measure, symbol, words, sizeof words);
    json_put(o, "value", json_number(measure->value));
    if (detail == INTERVAL && isfinite(measure->lo)) {
        json_put(o, "low", json_number(measure->lo));
        json_put(o, "high", json_number(measure->hi));
    }
    json_put_words(o, "words", words);
    json_put(object, key, o);
}

static void put_number(json_t *object, const char *key, double value)
{
    if (isfinite(value))
        json_put(object, key, json_number(value));
}

static json_t *claimed_json(const struct shelf_entry *entry)
{
    json_t *o = json_object();
    put_number(o, "nominal_v", entry->nominal_v);
    put_number(o, "charge_ah", entry->rated_ah);
    put_number(o, "energy_wh", entry->rated_wh);
    put_number(o, "mass_kg", entry->claimed_kg);
    put_number(o, "volume_l", entry->claimed_l);
    return o;
}

/* Intervals where the shelf draws them; elsewhere the words hold them. */
static json_t *found_json(const struct shelf_entry *entry, enum detail detail)
{
    json_t *o = json_object();
    char per[24];
    snprintf(per, sizeof per, "Wh/%s", entry->currency);
    put_measure(o, "charge_ah", &entry->charge_ah, QUANTITY_CHARGE, NULL, INTERVAL);
    put_measure(o, "energy_wh", &entry->energy_wh, QUANTITY_ENERGY, NULL, INTERVAL);
    put_measure(o, "resistance_ohm", &entry->resistance_ohm, QUANTITY_RESISTANCE, NULL, detail);
    put_measure(o, "mass_kg", &entry->mass_kg, QUANTITY_MASS, NULL, detail);
    put_measure(o, "volume_l", &entry->volume_l, QUANTITY_NONE, "L", detail);
    put_measure(o, "wh_per_kg", &entry->wh_per_kg, QUANTITY_NONE, "Wh/kg", detail);
    put_measure(o, "wh_per_l", &entry->wh_per_l, QUANTITY_NONE, "Wh/L", detail);
    put_measure(o, "wh_per_price", &entry->wh_per_price, QUANTITY_NONE, per, detail);
    return o;
}

static json_t *verdicts_json(const struct assessment *assessment)
{
    json_t *o = json_object();
    for (int v = VERDICT_MET; v <= VERDICT_NOT_TESTED; v++) {
        size_t count = verdict_count(assessment, (enum verdict)v);
        if (count > 0)
            json_put(o, verdict_name((enum verdict)v), json_integer((json_int_t)count));
    }
    return o;
}

static void put_words(json_t *object, const char *key, const char *words)
{
    if (words[0] != '\0')
        json_put_words(object, key, words);
}

static void put_verdict(json_t *object, const char *key, const struct decision *decision)
{
    if (decision != NULL)
        json_put_words(object, key, verdict_name(decision->verdict));
}

static json_t *entry_json(const struct assessment *assessment, const struct shelf_entry *entry, enum detail detail)
{
    const struct label *label = &assessment->label;
    json_t *o = json_object();
    put_words(o, "description", label->description);
    put_words(o, "tested", label->tested);
    json_put(o, "invented", json_boolean(assessment->invented));
    if (assessment->has_label)
        json_put_words(o, "chemistry", label->lithium_iron_phosphate ? "LiFePO4" : "other");
    put_number(o, "price", entry->price);
    put_words(o, "currency", entry->currency);
    json_put(o, "claimed", claimed_json(entry));
    json_put(o, "found", found_json(entry, detail));
    if (entry->mass_claimed)
        json_put(o, "mass_as_claimed", json_true());
    if (entry->volume_claimed)
        json_put(o, "volume_as_claimed", json_true());
    put_number(o, "resistance_delay_s", entry->resistance_delay_s);
    put_verdict(o, "charge", entry->charge);
    put_verdict(o, "energy", entry->energy);
    put_verdict(o, "mass", entry->mass);
    json_put(o, "verdicts", verdicts_json(assessment));
    put_words(o, "thin", text_string(&entry->thin));
    return o;
}

json_t *shelf_json(const struct assessment *assessment)
{
    struct shelf_entry entry;
    shelf_entry_of(assessment, &entry);
    json_t *o = entry_json(assessment, &entry, VALUE);
    shelf_entry_free(&entry);
    return o;
}

json_t *shelf_entry_json(const struct assessment *assessment, const struct shelf_entry *entry)
{
    return entry_json(assessment, entry, INTERVAL);
}

struct listing_text {
    struct text *json;
    size_t count, stale;
};

static void add_instant(struct text *json, const char *key, double utc_s, const char *zone)
{
    char time[NUMBER_INSTANT];
    number_print_instant(utc_s, time);
    text_addf(json, ",\"%s\":\"%s%s\"", key, time, zone);
}

/* The digest goes out as it is kept: a thousand rows are not parsed and written again. */
static bool add_row(void *context, const struct digest_row *row)
{
    struct listing_text *to = context;
    to->stale += !row->fresh;
    json_t *name = json_words(row->sample.name);
    text_addf(to->json, "%s\n{\"sample\":%lld,\"name\":", to->count++ > 0 ? "," : "", (long long)row->sample.id);
    json_add_text(name, true, to->json);
    json_decref(name);
    text_addf(to->json, ",\"invented\":%s", row->sample.invented ? "true" : "false");
    add_instant(to->json, "added", (double)row->sample.added_utc_ns / 1e9, "Z");
    text_addf(to->json, ",\"run_count\":%d", row->sample.runs);
    if (row->open_runs > 0)
        text_addf(to->json, ",\"open_runs\":%d", row->open_runs);
    if (isfinite(row->tested_utc_s))
        add_instant(to->json, "last_run", row->tested_utc_s, ""); /* by the clock of the run */
    text_addf(to->json, ",\"fresh\":%s,\"digest\":", row->fresh ? "true" : "false");
    if (row->json.n > 0)
        text_add_bytes(to->json, row->json.p, row->json.n);
    else
        text_add(to->json, "null");
    text_add(to->json, "}");
    return true;
}

enum status shelf_list(struct book *book, int64_t sample, struct text *json, size_t *ret_stale, struct message *message)
{
    struct listing_text to = {.json = json};
    text_add(json, "{\"samples\":[");
    enum status status = digest_walk(book, sample, shelf_method, add_row, &to, message);
    text_add(json, "]}\n");
    *ret_stale = to.stale;
    return status;
}
