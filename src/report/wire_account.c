#include "report/teardown_json.h"

#include "teardown/fusing.h"

const char *wire_limit_words(enum lead_limit limit)
{
    static const char *const words[] = {"its insulation", "the cell", "the board", "none"};
    return words[limit];
}

__attribute__((format(printf, 3, 4)))
static void row(struct listing *rows, const char *what, const char *how, ...)
{
    char words[400];
    va_list list;
    va_start(list, how);
    vsnprintf(words, sizeof words, how, list);
    va_end(list);
    listing_add(rows, "%s", what);
    listing_add(rows, "%s", words);
}

static void measured_row(struct listing *rows, const char *what, const struct measure *m, enum quantity quantity)
{
    char words[128];
    measure_print_in(m, quantity, words, sizeof words);
    if (measure_known(m))
        row(rows, what, "%s", words);
    else
        row(rows, what, "cannot tell: %s", m->why);
}

/* What the table and Onderdonk's formula are for. */
static bool of_copper(const struct lead *lead)
{
    return lead->metal == METAL_COPPER || lead->metal == METAL_TINNED_COPPER;
}

static void table_rows(const struct wire *wire, struct listing *rows)
{
    const struct gauge *gauge = &wire->lead.gauge;
    if (gauge->flat || !of_copper(&wire->lead) || isnan(wire->insulation_degc))
        return;
    struct ampacity boats = ampacity_boats(gauge->area_mm2, wire->insulation_degc);
    if (isnan(boats.a))
        row(rows, "table for boats", "33 CFR 183.425 has no such size or insulation");
    else
        row(rows, "table for boats", "%g A%s: 33 CFR 183.425, Table 5, metres of cable in air at 30 °C", boats.a * gauge->parallel,
            gauge->parallel > 1 ? " if each carries its share apart" : "");
}

static void at_rows(const struct lead_findings *f, struct listing *rows)
{
    row(rows, "", " ");
    row(rows, "at", "%g A, %.3g A/mm²", f->a, f->a_per_mm2);
    measured_row(rows, "resistance", &f->ohm, QUANTITY_RESISTANCE);
    measured_row(rows, "volts lost", &f->drop_v, QUANTITY_VOLTAGE);
    measured_row(rows, "heat", &f->heat_w, QUANTITY_POWER);
    measured_row(rows, "hottest place", &f->hottest_degc, QUANTITY_TEMPERATURE);
}

/* To two digits. */
static void melts_row(struct listing *rows, double a)
{
    double place = pow(10, floor(log10(a)) - 1), rounded = round(a / place) * place;
    bool kilo = rounded >= 1000;
    row(rows, "melts", "within a second at about %g %s (Onderdonk; jacket, solder and crimps go before)",
        kilo ? rounded / 1000 : rounded, kilo ? "kA" : "A");
}

void wire_account(const struct wire *wire, struct listing *rows)
{
    const struct lead *lead = &wire->lead;
    char size[96];
    gauge_print(&lead->gauge, size, sizeof size);
    row(rows, "conductor", "%s, %s, %.3g m%s", size, metal_facts[lead->metal].name, lead->length_m,
        lead->bundled ? ", bundled" : "");
    row(rows, "around it", "%s air of %g °C", lead->convection < 1 ? "confined" : "still", lead->air_degc);
    for (int k = 0; k < wire->count; k++)
        at_rows(&wire->at[k], rows);
    row(rows, "", " ");
    const struct lead_findings *f = &wire->at[0];
    measured_row(rows, "current allowed", &f->allowed_a, QUANTITY_CURRENT);
    if (measure_known(&f->allowed_a))
        row(rows, "set by", "%s", wire_limit_words(f->limit));
    table_rows(wire, rows);
    if (of_copper(lead))
        melts_row(rows, fusing_current_a(gauge_area_mm2(&lead->gauge), lead->air_degc, 1));
}

static json_t *at_json(const struct lead_findings *f)
{
    json_t *o = json_object();
    json_put(o, "current_a", json_number(f->a));
    json_put(o, "a_per_mm2", json_number(f->a_per_mm2));
    json_put(o, "resistance_ohm", json_measure(&f->ohm, QUANTITY_RESISTANCE));
    json_put(o, "drop_v", json_measure(&f->drop_v, QUANTITY_VOLTAGE));
    json_put(o, "heat_w", json_measure(&f->heat_w, QUANTITY_POWER));
    json_put(o, "hottest_degc", json_measure(&f->hottest_degc, QUANTITY_TEMPERATURE));
    json_put(o, "burns_through", json_boolean(f->burns));
    return o;
}

json_t *wire_json(const struct wire *wire)
{
    const struct lead *lead = &wire->lead;
    json_t *o = json_object(), *at = json_array();
    char size[96];
    gauge_print(&lead->gauge, size, sizeof size);
    json_put_words(o, "size", size);
    json_put(o, "parallel", json_integer(lead->gauge.parallel));
    json_put(o, "area_mm2", json_number(lead->gauge.area_mm2));
    json_put_words(o, "metal", metal_facts[lead->metal].name);
    json_put(o, "length_m", json_number(lead->length_m));
    json_put(o, "air_degc", json_number(lead->air_degc));
    json_put(o, "insulation_degc", json_number(wire->insulation_degc));
    for (int k = 0; k < wire->count; k++)
        json_array_append_new(at, at_json(&wire->at[k]));
    json_put(o, "at", at);
    json_put(o, "allowed_a", json_measure(&wire->at[0].allowed_a, QUANTITY_CURRENT));
    json_put_words(o, "set_by", wire_limit_words(wire->at[0].limit));
    double boats_a = ampacity_boats(lead->gauge.area_mm2, wire->insulation_degc).a * lead->gauge.parallel;
    json_put(o, "boats_a", json_number(of_copper(lead) ? boats_a : NAN));
    json_put(o, "melts_in_1_s_a",
             json_number(of_copper(lead) ? fusing_current_a(gauge_area_mm2(&lead->gauge), lead->air_degc, 1) : NAN));
    return o;
}
