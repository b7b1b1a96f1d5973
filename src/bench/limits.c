#include "bench/limits.h"

#include "claims/usual_limits.h"
#include "quantity/unit.h"

static const double above_charger_v = 0.05; /* a cell: what a meter may show over the volts that a charger holds */
static const double beyond = 1.25;          /* times the continuous current, as in claims/plan.c */
static const double rise_degc_per_min = 2;

static const struct {
    const char *name;
    enum quantity quantity;
    const char *unit; /* as shown */
} kinds[LIMITS] = {
    [LIMIT_LOW_V] = {"low", QUANTITY_VOLTAGE, "V"},
    [LIMIT_HIGH_V] = {"high", QUANTITY_VOLTAGE, "V"},
    [LIMIT_LOW_CELL_V] = {"low cell", QUANTITY_VOLTAGE, "V"},
    [LIMIT_HIGH_CELL_V] = {"high cell", QUANTITY_VOLTAGE, "V"},
    [LIMIT_MOST_A] = {"most", QUANTITY_CURRENT, "A"},
    [LIMIT_LOW_DEGC] = {"low", QUANTITY_TEMPERATURE, "°C"},
    [LIMIT_HIGH_DEGC] = {"high", QUANTITY_TEMPERATURE, "°C"},
    [LIMIT_RISE] = {"rise", QUANTITY_TEMPERATURE, "°C/min"},
};

const char *limit_name(enum limit_kind kind)
{
    return kinds[kind].name;
}

const char *limit_unit(enum limit_kind kind)
{
    return kinds[kind].unit;
}

struct limits limits_none(void)
{
    struct limits none;
    for (int k = 0; k < LIMITS; k++)
        none.of[k] = (struct limit){.at = NAN};
    return none;
}

static void usual(struct limits *limits, enum limit_kind kind, double at, const char *source)
{
    struct limit *limit = &limits->of[kind];
    if (isnan(at) || !isnan(limit->at))
        return; /* what the label says stands */
    limit->at = at;
    snprintf(limit->source, sizeof limit->source, "%s", source);
}

static void of_claim(struct limits *limits, enum limit_kind kind, const struct label *label, enum claim_kind claimed,
                     double factor, double more)
{
    const struct claim *claim = label_claim(label, claimed);
    if (claim == NULL || isnan(claim->stated) || !isnan(limits->of[kind].at))
        return;
    limits->of[kind].at = claim->stated * factor + more;
    snprintf(limits->of[kind].source, sizeof limits->of[kind].source, "the label, line %ld", claim->line);
}

static void of_label(struct limits *limits, const struct label *label, bool charge)
{
    of_claim(limits, LIMIT_LOW_V, label, CLAIM_CUT_OFF_VOLTAGE, 1, 0);
    of_claim(limits, LIMIT_HIGH_V, label, CLAIM_CHARGE_CUT_OFF, 1, above_charger_v * label->cells);
    of_claim(limits, LIMIT_HIGH_V, label, CLAIM_CHARGE_VOLTAGE, 1, above_charger_v * label->cells);
    if (charge) {
        of_claim(limits, LIMIT_MOST_A, label, CLAIM_CHARGE_CURRENT, 1, 0);
        of_claim(limits, LIMIT_LOW_DEGC, label, CLAIM_CHARGE_TEMPERATURE_MIN, 1, 0);
        of_claim(limits, LIMIT_HIGH_DEGC, label, CLAIM_CHARGE_TEMPERATURE_MAX, 1, 0);
        return;
    }
    of_claim(limits, LIMIT_MOST_A, label, CLAIM_PEAK_CURRENT, 1, 0);
    of_claim(limits, LIMIT_MOST_A, label, CLAIM_CONTINUOUS_CURRENT, beyond, 0);
    of_claim(limits, LIMIT_LOW_DEGC, label, CLAIM_DISCHARGE_TEMPERATURE_MIN, 1, 0);
    of_claim(limits, LIMIT_HIGH_DEGC, label, CLAIM_DISCHARGE_TEMPERATURE_MAX, 1, 0);
}

struct limits limits_usual(const struct label *label, bool charge)
{
    struct limits limits = limits_none();
    if (label == NULL)
        return limits;
    of_label(&limits, label, charge);
    usual(&limits, LIMIT_RISE, rise_degc_per_min, "common practice");
    if (!label->lithium_iron_phosphate)
        return limits;
    const char *source = "usual for lithium iron phosphate";
    usual(&limits, LIMIT_LOW_CELL_V, USUAL_LEAST_CELL_V, source);
    usual(&limits, LIMIT_HIGH_CELL_V, USUAL_MOST_CELL_V, source);
    usual(&limits, LIMIT_LOW_DEGC, charge ? USUAL_COLD_DEGC : -20, source);
    usual(&limits, LIMIT_HIGH_DEGC, charge ? USUAL_HOT_LOW_DEGC : 60, source);
    if (label->cells > 0) {
        usual(&limits, LIMIT_LOW_V, USUAL_LEAST_CELL_V * label->cells, source);
        usual(&limits, LIMIT_HIGH_V, (USUAL_MOST_CELL_V + above_charger_v) * label->cells, source);
    }
    return limits;
}

static enum status fault(struct span text, struct message *message, const char *what)
{
    status_fail(message, STATUS_USAGE, "the limit '%.*s' %s", (int)(text.n < 80 ? text.n : 80), text.p, what);
    return status_remedy(message, "write for instance 'low cell 2.5 V', 'low 10 V', 'high 14.6 V', 'most 120 A', "
                                  "'high 45 °C', 'rise 3 °C/min', or 'no rise', 'no low V' to switch one off");
}

static bool take_word(struct span *rest, const char *word)
{
    *rest = span_trim(*rest);
    size_t n = 0;
    while (n < rest->n && rest->p[n] != ' ' && rest->p[n] != '\t')
        n++;
    if (!span_is_word((struct span){rest->p, n}, word))
        return false;
    *rest = span_trim((struct span){rest->p + n, rest->n - n});
    return true;
}

/* The names are matched in full, `low cell` before `low`. */
static int take_kind(struct span *rest, enum quantity quantity)
{
    static const char *const firsts[] = {"low", "high", "most", "rise"};
    const char *first = NULL;
    for (size_t k = 0; k < sizeof firsts / sizeof *firsts && first == NULL; k++)
        if (take_word(rest, firsts[k]))
            first = firsts[k];
    if (first == NULL)
        return LIMITS;
    char name[16];
    snprintf(name, sizeof name, "%s%s", first, take_word(rest, "cell") ? " cell" : "");
    for (int k = 0; k < LIMITS; k++)
        if (span_is(span_of(kinds[k].name), name) && (quantity == QUANTITY_NONE || kinds[k].quantity == quantity))
            return k;
    return LIMITS;
}

/* A number with the unit of one of the kinds that are left; `rise` is by the minute. */
static enum status take_value(struct span text, struct span rest, struct span name, const char *source,
                              struct limits *limits, struct message *message)
{
    double at;
    enum quantity quantity;
    size_t used = quantity_read(rest, '.', &at, NULL, &quantity);
    if (used == 0)
        return fault(text, message, "has no number");
    if (quantity == QUANTITY_NONE)
        return fault(text, message, "has no unit that is known");
    int kind = take_kind(&name, quantity);
    if (kind == LIMITS)
        return fault(text, message, "has a unit that does not go with its name");
    struct span end = span_trim((struct span){rest.p + used, rest.n - used});
    if (kind == LIMIT_RISE ? !span_is(end, "/min") && !span_is_word(end, "a minute") : end.n > 0)
        return fault(text, message, kind == LIMIT_RISE ? "is not by the minute" : "goes on after its unit");
    if (kind == LIMIT_RISE && span_has_word((struct span){rest.p, used}, "F"))
        return fault(text, message, "is not in °C"); /* whose zero would be taken off a difference */
    bool cold = kind == LIMIT_LOW_DEGC || kind == LIMIT_HIGH_DEGC;
    if (!isfinite(at) || (!cold && !(at > 0)))
        return fault(text, message, "is not above nothing");
    limits->of[kind].at = at;
    snprintf(limits->of[kind].source, sizeof limits->of[kind].source, "%s", source);
    return STATUS_OK;
}

enum status limits_set(struct span text, const char *source, struct limits *limits, struct message *message)
{
    struct span name = span_trim(text), rest = name;
    bool off = take_word(&rest, "no");
    name = rest;
    if (take_kind(&rest, QUANTITY_NONE) == LIMITS)
        return fault(text, message, "begins with no name of a limit");
    if (!off)
        return take_value(text, rest, name, source, limits, message);
    struct unit unit = {.quantity = QUANTITY_NONE};
    if (rest.n > 0 && !unit_find(rest, &unit))
        return fault(text, message, "goes on after its name");
    int kind = take_kind(&name, unit.quantity);
    if (kind == LIMITS || (rest.n == 0 && (kind == LIMIT_LOW_V || kind == LIMIT_HIGH_V)))
        return fault(text, message, "does not say which: V or °C");
    limits->of[kind].at = NAN;
    return STATUS_OK;
}

void limits_print(const struct limits *limits, struct text *text)
{
    for (int k = 0; k < LIMITS; k++)
        if (!isnan(limits->of[k].at))
            text_addf(text, "%s %.4g %s (%s)\n", kinds[k].name, limits->of[k].at, kinds[k].unit, limits->of[k].source);
}
