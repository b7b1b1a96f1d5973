#include "claims/guide_parts.h"

#include "base/text.h"
#include "claims/stop_named.h"
#include "claims/usual_limits.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>

/* Common practice, no source. */
static const double usual_cell_v = 3.6, watch_cell_v = 3.0, usual_charge_it = 0.2, tail_it = 0.05, small_it = 0.05, peak_s = 5,
                    ramp_k_per_min = 0.5, ramp_before_k = 10, ramp_beyond_k = 5, soak_beyond_k = 3;

const char *const guide_key_names[GUIDE_KEYS] = {
    "limit",   "most_v",    "least_v", "watch_v", "charge_v",  "charge_a", "tail_a",    "small_a",   "load_a", "rated_a", "hold_time",
    "peak_a",  "peak_time", "peak_need", "reach_a", "ramp_from", "ramp_to", "ramp_time", "soak_degc", "lag",    "lag_k",
};

/* What a sheet is filled in from. */
struct known {
    enum guide_test test;
    const struct label *label;
    const struct rig *rig;
    const struct loads *loads;
    double limit; /* that the label states of what this sheet is about; NaN */
    struct guide_facts *facts;
};

__attribute__((format(printf, 5, 6)))
static void tell(struct known *k, enum guide_key key, bool told, const char *from, const char *format, ...)
{
    struct guide_fact *fact = &k->facts->of[key];
    va_list list;
    va_start(list, format);
    vsnprintf(fact->words, sizeof fact->words, format, list);
    va_end(list);
    snprintf(fact->from, sizeof fact->from, "%s", from);
    fact->told = told;
}

static void tell_degc(struct known *k, enum guide_key key, bool told, const char *from, double degc)
{
    tell(k, key, told, from, "%s%.3g °C", degc < 0 ? "−" : "", fabs(degc));
}

/* A number that stands on something the label does not tell. */
static void tell_cannot(struct known *k, enum guide_key key, double value, const char *unit, const char *lacks)
{
    char from[96];
    snprintf(from, sizeof from, "%.3g %s; %s", value, unit, lacks);
    tell(k, key, false, from, "%.3g %s", value, unit);
}

/* `a_cell` volts each, in total where the label tells how many. */
static void tell_volts(struct known *k, enum guide_key key, const char *from, double a_cell)
{
    if (k->label->cells > 0)
        tell(k, key, true, from, "%.4g V (%.3g V a cell)", a_cell * k->label->cells, a_cell);
    else
        tell_cannot(k, key, a_cell, "V a cell", "how many in series is not told");
}

/* A multiple of It, in amps where the label tells the ampere-hours. */
static void tell_rate(struct known *k, enum guide_key key, const char *from, double it)
{
    if (k->label->rated_ah > 0)
        tell(k, key, true, from, "%.3g A (%.3g It)", it * k->label->rated_ah, it);
    else
        tell_cannot(k, key, it, "It", "the label states no Ah");
}

/* The temperature that such words name: `yes, below 0 °C`; NaN: none. */
static double degc_in(const char *words)
{
    for (struct span rest = span_of(words); rest.n > 0; rest.p++, rest.n--) {
        enum quantity quantity;
        double value;
        if (quantity_read(rest, '.', &value, NULL, &quantity) > 0 && quantity == QUANTITY_TEMPERATURE)
            return value;
    }
    return NAN;
}

/* What `charging stops when cold = yes, below 0 °C` states beside its answer. */
static double in_words(const struct label *label, enum trip_way way)
{
    for (size_t c = 0; c < label->claim_count; c++) {
        struct stop_named stop = stop_named(&label->claims[c]);
        if (stop.way == way && stop.charging)
            return degc_in(label->claims[c].as_stated);
    }
    return NAN;
}

static double limit_of(enum guide_test test, const struct label *label)
{
    static const enum claim_kind kinds[GUIDE_TESTS] = {
        [GUIDE_CHARGE] = CLAIM_CHARGE_VOLTAGE,           [GUIDE_COLD_CHARGE] = CLAIM_CHARGE_TEMPERATURE_MIN,
        [GUIDE_HOT_CHARGE] = CLAIM_CHARGE_TEMPERATURE_MAX, [GUIDE_OVER_CURRENT] = CLAIM_CONTINUOUS_CURRENT,
        [GUIDE_LOW_VOLTAGE] = CLAIM_CUT_OFF_VOLTAGE,     [GUIDE_HIGH_VOLTAGE] = CLAIM_CHARGE_CUT_OFF,
    };
    const struct claim *claim = label_claim(label, kinds[test]);
    if (claim != NULL)
        return claim->stated;
    return test == GUIDE_COLD_CHARGE ? in_words(label, TRIP_COLD) : test == GUIDE_HOT_CHARGE ? in_words(label, TRIP_HOT) : NAN;
}

static void find_limit(struct known *k)
{
    bool degrees = k->test == GUIDE_COLD_CHARGE || k->test == GUIDE_HOT_CHARGE;
    const struct label *label = k->label;
    if (isnan(k->limit))
        tell(k, KEY_LIMIT, false, "the label does not state it", "limit");
    else if (degrees)
        tell_degc(k, KEY_LIMIT, true, "label", k->limit);
    else
        tell(k, KEY_LIMIT, true, "label", "%.4g %s", k->limit, k->test == GUIDE_OVER_CURRENT ? "A" : "V");
    k->facts->when |= isnan(k->limit) ? WHEN_UNSTATED : WHEN_STATED;
    bool beyond = label->cells > 0 && ((k->test == GUIDE_LOW_VOLTAGE && k->limit < USUAL_LEAST_CELL_V * label->cells) ||
                                       (k->test == GUIDE_HIGH_VOLTAGE && k->limit > USUAL_MOST_CELL_V * label->cells));
    k->facts->when |= beyond ? WHEN_BEYOND : 0;
}

static void find_volts(struct known *k)
{
    const struct claim *charge = label_claim(k->label, CLAIM_CHARGE_VOLTAGE);
    double most_v = USUAL_MOST_CELL_V * k->label->cells;
    tell_volts(k, KEY_MOST_V, "usual limit of the cells", USUAL_MOST_CELL_V);
    tell_volts(k, KEY_LEAST_V, "usual limit of the cells", USUAL_LEAST_CELL_V);
    tell_volts(k, KEY_WATCH_V, "common practice", watch_cell_v);
    if (charge == NULL)
        tell_volts(k, KEY_CHARGE_V, "usual; the label states none", usual_cell_v);
    else if (k->label->cells > 0 && charge->stated > most_v)
        tell_volts(k, KEY_CHARGE_V, "the label states more than the cells stand", USUAL_MOST_CELL_V);
    else
        tell(k, KEY_CHARGE_V, true, "label", "%.4g V", charge->stated);
}

static void find_amps(struct known *k)
{
    const struct claim *charge = label_claim(k->label, CLAIM_CHARGE_CURRENT);
    double ah = k->label->rated_ah, rated_a = k->label->continuous_a;
    if (charge != NULL)
        tell(k, KEY_CHARGE_A, true, "label", "%.3g A", charge->stated);
    else
        tell_rate(k, KEY_CHARGE_A, "common practice; the label states none", usual_charge_it);
    tell_rate(k, KEY_TAIL_A, "common practice", tail_it);
    tell_rate(k, KEY_SMALL_A, "common practice", small_it);
    tell_rate(k, KEY_LOAD_A, "common practice", usual_charge_it);
    if (rated_a > 0)
        tell(k, KEY_RATED_A, true, "label", "%.4g A", rated_a);
    else
        tell(k, KEY_RATED_A, false, "the label states no continuous current", "its continuous current");
    if (rated_a > 0 && ah > 0)
        tell(k, KEY_HOLD_TIME, true, "label: Ah over A", "about %.0f min", 60 * ah / rated_a);
    else
        tell(k, KEY_HOLD_TIME, false, "the label does not state both Ah and continuous A", "a time that the label does not let tell");
}

static void find_peak(struct known *k)
{
    const struct claim *claim = label_claim(k->label, CLAIM_PEAK_CURRENT);
    if (claim == NULL) {
        tell(k, KEY_PEAK_A, false, "the label states none", "the peak current");
        tell(k, KEY_PEAK_TIME, false, "the label states none", "%.0f s", peak_s);
        return;
    }
    bool timed = claim->duration_s > 0 && !isinf(claim->duration_s);
    tell(k, KEY_PEAK_A, true, "label", "%.4g A", claim->stated);
    tell(k, KEY_PEAK_TIME, timed, timed ? "label" : "the label states none", "%.3g s", timed ? claim->duration_s : peak_s);
    tell(k, KEY_PEAK_NEED, true, "label", ", and of %s for %s", k->facts->of[KEY_PEAK_A].words, k->facts->of[KEY_PEAK_TIME].words);
    k->facts->when |= WHEN_PEAK;
}

/* The most that the loads draw together, as far as the inverter carries them. */
static void find_reach(struct known *k)
{
    double most_w = 0, nominal_v = k->label->nominal_v;
    double asked_a = fmax(k->label->peak_a, k->label->continuous_a);
    bool loaded = k->test == GUIDE_OVER_CURRENT || k->test == GUIDE_LOW_VOLTAGE;
    if (loaded && k->loads != NULL && k->loads->inverter)
        k->facts->when |= WHEN_INVERTER;
    if (k->loads == NULL || !(nominal_v > 0)) {
        k->facts->when |= WHEN_NO_LOADS;
        tell(k, KEY_REACH_A, false, k->loads == NULL ? "no loads file" : "the label states no nominal voltage", "what the loads draw");
        return;
    }
    for (unsigned on = 1; on < 1u << k->loads->count; on++)
        if (loads_carried(k->loads, on))
            most_w = fmax(most_w, loads_draw_w(k->loads, on, nominal_v));
    tell(k, KEY_REACH_A, true, "loads, at the nominal voltage", "%.3g A", most_w / nominal_v);
    k->facts->when |= most_w / nominal_v < asked_a ? WHEN_SHORT : WHEN_REACH;
}

static void find_ramp(struct known *k)
{
    bool cold = k->test == GUIDE_COLD_CHARGE;
    double limit = k->limit, side = cold ? -1 : 1;
    double near = !isnan(limit) ? limit : cold ? USUAL_COLD_DEGC : USUAL_HOT_LOW_DEGC, far = !isnan(limit) ? limit : cold ? USUAL_COLD_DEGC : USUAL_HOT_HIGH_DEGC;
    double from = near - side * ramp_before_k, to = far + side * ramp_beyond_k;
    to = cold ? to : fmin(to, USUAL_HOT_HIGH_DEGC + ramp_beyond_k);
    const char *source = isnan(limit) ? "about the usual limit" : "about the label's limit";
    tell_degc(k, KEY_RAMP_FROM, true, source, from);
    tell_degc(k, KEY_RAMP_TO, true, source, to);
    tell(k, KEY_RAMP_TIME, true, source, "%.0f min", fabs(to - from) / ramp_k_per_min);
    tell_degc(k, KEY_SOAK_DEGC, true, source, far + side * soak_beyond_k);
}

static void find_probe(struct known *k)
{
    double tau_s = k->rig->probe_tau_s;
    bool lag = !isnan(tau_s);
    k->facts->when |= k->rig->of[CHANNEL_TEMPERATURE].stated || lag ? WHEN_PROBE : WHEN_NO_PROBE;
    k->facts->when |= lag ? WHEN_LAG : WHEN_NO_LAG;
    if (!lag) {
        tell(k, KEY_LAG, false, "the rig does not state it", "the probe's lag");
        return;
    }
    tell(k, KEY_LAG, true, "rig", "%.3g s", tau_s);
    tell(k, KEY_LAG_K, true, "rig", "%.2g K", ramp_k_per_min / 60 * tau_s);
}

void guide_facts_find(enum guide_test test, const struct label *label, const struct rig *rig, const struct loads *loads,
                      struct guide_facts *ret_facts)
{
    *ret_facts = (struct guide_facts){0};
    struct known k = {test, label, rig, loads, limit_of(test, label), ret_facts};
    find_limit(&k);
    find_volts(&k);
    find_amps(&k);
    find_peak(&k);
    find_reach(&k);
    find_ramp(&k);
    find_probe(&k);
}

struct listed {
    enum guide_key key;
    const char *what;
};

static const struct listed listed[GUIDE_TESTS][GUIDE_NUMBERS] = {
    [GUIDE_CHARGE] = {{KEY_CHARGE_V, "charge to"}, {KEY_MOST_V, "never above"}, {KEY_CHARGE_A, "charge current"},
                      {KEY_TAIL_A, "full when it has fallen to"}, {GUIDE_KEYS, NULL}},
    [GUIDE_COLD_CHARGE] = {{KEY_LIMIT, "claimed: no charge below"}, {KEY_RAMP_TO, "lowest at the probe"}, {KEY_CHARGE_V, "supply, volts"},
                           {KEY_SMALL_A, "supply, current"}, {KEY_LAG, "lag of the probe"}, {GUIDE_KEYS, NULL}},
    [GUIDE_HOT_CHARGE] = {{KEY_LIMIT, "claimed: no charge above"}, {KEY_RAMP_TO, "highest at the probe"}, {KEY_CHARGE_V, "supply, volts"},
                          {KEY_SMALL_A, "supply, current"}, {KEY_LAG, "lag of the probe"}, {GUIDE_KEYS, NULL}},
    [GUIDE_OVER_CURRENT] = {{KEY_RATED_A, "continuous current"}, {KEY_PEAK_A, "peak current"}, {KEY_PEAK_TIME, "peak for"},
                            {KEY_HOLD_TIME, "held from full for"}, {KEY_REACH_A, "the loads reach"}, {KEY_LEAST_V, "never below"},
                            {GUIDE_KEYS, NULL}},
    [GUIDE_LOW_VOLTAGE] = {{KEY_LIMIT, "claimed: opens at"}, {KEY_WATCH_V, "read often from"}, {KEY_LEAST_V, "never below"},
                           {KEY_LOAD_A, "load"}, {KEY_SMALL_A, "to wake it"}, {GUIDE_KEYS, NULL}},
    [GUIDE_HIGH_VOLTAGE] = {{KEY_LIMIT, "claimed: stops at"}, {KEY_CHARGE_V, "supply at first"}, {KEY_MOST_V, "never above"},
                            {KEY_SMALL_A, "supply, current"}, {GUIDE_KEYS, NULL}},
};

size_t guide_facts_listed(enum guide_test test, enum guide_key ret_keys[static GUIDE_NUMBERS],
                          const char *ret_what[static GUIDE_NUMBERS])
{
    size_t count = 0;
    for (; listed[test][count].what != NULL; count++) {
        ret_keys[count] = listed[test][count].key;
        ret_what[count] = listed[test][count].what;
    }
    return count;
}
