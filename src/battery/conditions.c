#include "battery/conditions.h"

#include <stdarg.h>

#define STANDARD_RATE 0.2
#define RATE_SLACK 0.1 /* a tenth more or less is no departure; our convention */
#define PEUKERT_MOST_LFP 1.05
#define PEUKERT_MOST 1.30
#define PER_KELVIN_BELOW (-0.008)
#define PER_KELVIN_ABOVE 0.003
#define REFERENCE_DEGC 25.0
#define SELF_DISCHARGE_A_SECOND (0.03 / (30 * 86400.0))
#define SHORT_REST_EFFECT 0.005

static const char full_name[] = "full charge before";

static struct condition unknown_condition(const char *name)
{
    return (struct condition){.name = name, .effect_lo = NAN, .effect_hi = NAN};
}

static struct condition *next(struct findings *findings, const char *name)
{
    struct condition *condition = &findings->conditions[findings->condition_count++];
    *condition = unknown_condition(name);
    return condition;
}

__attribute__((format(printf, 3, 4))) static void say(char *text, size_t size, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    vsnprintf(text, size, format, args);
    va_end(args);
}
#define SAY(field_, ...) say(field_, sizeof field_, __VA_ARGS__)

/* As asked for: known, no departure, no effect. */
static void as_asked(struct condition *condition)
{
    condition->known = true;
    condition->effect_lo = condition->effect_hi = 0;
}

static void departs(struct condition *condition, double lo, double hi)
{
    condition->known = condition->departs = true;
    condition->effect_lo = lo;
    condition->effect_hi = hi;
}

static void add_rate(const struct asked *asked, struct findings *findings)
{
    struct condition *rate = next(findings, "current");
    SAY(rate->asked_for, "0.2 It, constant (IEC 62620, IEC 61960-3)");
    if (isnan(asked->rated_ah) || isnan(findings->test_mean_a)) {
        SAY(rate->was, "%.3g A", findings->test_mean_a);
        SAY(rate->words, "cannot tell as a multiple of It: no rated charge was given");
        return;
    }
    double it = findings->test_mean_a / asked->rated_ah;
    SAY(rate->was, "%.3g A, %.2g It", findings->test_mean_a, it);
    if (fabs(it / STANDARD_RATE - 1) <= RATE_SLACK) {
        as_asked(rate);
        SAY(rate->words, "near 0.2 It");
        return;
    }
    double most = asked->lithium_iron_phosphate ? PEUKERT_MOST_LFP : PEUKERT_MOST;
    double effect = pow(STANDARD_RATE / it, most - 1) - 1;
    departs(rate, fmin(0, effect), fmax(0, effect));
    SAY(rate->words,
        "%s current than the standards ask: likely effect on the charge %+.1f %% to %+.1f %%, by an exponent of 1.00 to %.2f",
        it > STANDARD_RATE ? "a higher" : "a lower", rate->effect_lo * 100, rate->effect_hi * 100, most);
}

static void add_temperature(const struct asked *asked, double ambient_degc, struct findings *findings)
{
    struct condition *temperature = next(findings, "temperature");
    double degc = isnan(ambient_degc) ? findings->test_degc : ambient_degc;
    SAY(temperature->asked_for, "25 ± 5 °C (IEC 62620), 20 ± 5 °C (IEC 61960-3)");
    if (isnan(degc)) {
        SAY(temperature->words, "cannot tell: no temperature was recorded");
        return;
    }
    SAY(temperature->was, "%.1f °C %s", degc, isnan(ambient_degc) ? "at the sample" : "around the sample");
    bool industrial = fabs(degc - 25) <= 5, portable = fabs(degc - 20) <= 5;
    if (industrial) {
        as_asked(temperature);
        SAY(temperature->words,
            portable ? "within what both standards allow" : "within IEC 62620, above IEC 61960-3");
        return;
    }
    double kelvin = degc - REFERENCE_DEGC,
           effect = kelvin * (kelvin < 0 ? -PER_KELVIN_BELOW : PER_KELVIN_ABOVE);
    departs(temperature, fmin(0, effect), fmax(0, effect));
    const char *where = portable     ? "below IEC 62620, within IEC 61960-3"
                        : kelvin < 0 ? "colder than both allow"
                                     : "warmer than both allow";
    if (asked->lithium_iron_phosphate) {
        SAY(temperature->words, "%s: likely effect on the charge %+.1f %% to %+.1f %%", where,
            temperature->effect_lo * 100, temperature->effect_hi * 100);
    } else {
        temperature->effect_lo = temperature->effect_hi = NAN;
        SAY(temperature->words, "%s: the effect is not known for this chemistry", where);
    }
}

static void add_rest(struct findings *findings)
{
    struct condition *rest = next(findings, "rest before");
    SAY(rest->asked_for, "1 h to 4 h after the charge");
    if (findings->test_first_run == 0) {
        SAY(rest->words, "cannot tell: the log begins with the test");
        return;
    }
    const struct run *before = &findings->runs[findings->test_first_run - 1];
    double hours = before->kind == RUN_REST ? (before->end_s - before->start_s) / 3600 : 0;
    bool whole = findings->test_first_run >= 2 || before->kind != RUN_REST;
    SAY(rest->was, "%s%.2g h", whole ? "" : "at least ", hours);
    if (!whole && hours < 4) {
        SAY(rest->words, "cannot tell: the log begins with this rest");
    } else if (before->duration_s.hi >= 3600 && hours <= 4) { /* an hour, as far as its edges are known */
        as_asked(rest);
        SAY(rest->words, "as the standards ask");
    } else if (hours > 4) {
        departs(rest, -SELF_DISCHARGE_A_SECOND * hours * 3600, 0);
        SAY(rest->words, "longer than the standards allow: self-discharge of at most %.2g %%",
            -rest->effect_lo * 100);
    } else {
        departs(rest, 0, SHORT_REST_EFFECT);
        SAY(rest->words, "shorter than the standards ask: likely effect 0 to +%.1f %%",
            SHORT_REST_EFFECT * 100);
    }
}

static void add_cut_off(struct findings *findings)
{
    struct condition *cut_off = next(findings, "cut-off");
    const struct run *last = &findings->runs[findings->test_last_run];
    double lowest = NAN;
    bool reached = false;
    for (size_t k = 0; k < findings->capacity_count; k++) {
        const struct capacity *capacity = &findings->capacities[k];
        if (capacity->asked && !(lowest < capacity->cut_off_v)) {
            lowest = capacity->cut_off_v;
            reached = capacity->reached;
        }
    }
    double end_v = measure_known(&last->ended.end_v) ? last->ended.end_v.value : last->end_v;
    if (isnan(end_v)) {
        SAY(cut_off->asked_for, "the end voltage that the maker declares");
        SAY(cut_off->words, "cannot tell: no volts were recorded at the end");
        return;
    }
    SAY(cut_off->was, "ended at %.2f V%s", end_v, last->ended.by == ENDED_BMS ? ", by the BMS" : "");
    SAY(cut_off->asked_for, isnan(lowest) ? "the end voltage that the maker declares" : "%.4g V", lowest);
    if ((last->ended.by == ENDED_BMS && last->ended.low) || reached) {
        as_asked(cut_off);
        SAY(cut_off->words, reached ? "the test came down to it"
                                    : "the sample itself ended the discharge: it had no more to give");
    } else if (isnan(lowest)) {
        SAY(cut_off->words, "cannot tell: no cut-off was stated");
    } else {
        departs(cut_off, NAN, 0);
        SAY(cut_off->words, "the test ended above it: the sample had more to give, how much cannot be told");
    }
}

static void tell_full(const struct findings *findings, struct condition *full)
{
    SAY(full->asked_for, "charged as the maker declares");
    SAY(full->was, "%s", findings->full_before > 0 ? "full" : findings->full_before == 0 ? "not full" : "");
    size_t said = strlen(full->was);
    bool twice = said > 0 && strncmp(findings->full_words, full->was, said) == 0 && findings->full_words[said] == ':';
    SAY(full->words, "%s", findings->full_words + (twice ? said + 2 : 0));
    if (findings->full_before > 0)
        as_asked(full);
    else if (findings->full_before == 0)
        departs(full, NAN, 0);
}

void conditions_full(struct findings *findings)
{
    for (int k = 0; k < findings->condition_count; k++) {
        struct condition *c = &findings->conditions[k];
        if (strcmp(c->name, full_name) != 0)
            continue;
        *c = unknown_condition(full_name);
        tell_full(findings, c);
    }
}

void conditions_find(const struct asked *asked, double ambient_degc, struct findings *findings)
{
    findings->condition_count = 0;
    add_rate(asked, findings);
    add_temperature(asked, ambient_degc, findings);
    add_rest(findings);
    add_cut_off(findings);
    tell_full(findings, next(findings, full_name));
}
