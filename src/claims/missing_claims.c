/* What the claims lack: each open one by itself; those that nobody looked at by what would test them. */
#include "claims/missing_parts.h"

#include "base/number.h"
#include "base/text.h"
#include "claims/claim_names.h"

static void too_close(const struct assessment *assessment, size_t k, struct missing_list *list)
{
    const struct decision *d = &assessment->decisions[k];
    struct missing *item = missing_add(list, MISSING_OPEN);
    item->claim = k;
    MISSING_SAY(item->what, "%s is too close to call", d->claim->name);
    MISSING_SAY(item->next, "%s", d->would_decide[0] != '\0' ? d->would_decide : "A narrower interval, or a second sample");
    if (d->conditions_open) {
        MISSING_SAY(item->helps, "The value alone would decide it; only what the conditions may have done to it keeps it open");
        return;
    }
    if (!measure_known(&d->measured) || isnan(d->claim->stated))
        return;
    double factor, half = 0.5 * (d->measured.hi - d->measured.lo);
    const char *symbol = quantity_shown(d->claim->quantity, &factor);
    double margin = fabs(claim_limit(d->claim, d->measured.value) - d->measured.value);
    char away[32], wide[32];
    number_print(factor * margin, factor * half, away, sizeof away);
    number_print(factor * half, factor * half, wide, sizeof wide);
    MISSING_SAY(item->helps, "The value lies %s %s from the claim and is known to ±%s %s; the interval has to end short of the claim", away, symbol,
                wide, symbol);
}

static void not_exercised(const struct assessment *assessment, size_t k, struct missing_list *list)
{
    const struct decision *d = &assessment->decisions[k];
    struct missing *item = missing_add(list, MISSING_OPEN);
    item->claim = k;
    MISSING_SAY(item->what, "%s was not put to the test as claimed", d->claim->name);
    MISSING_SAY(item->next, "%s", d->would_decide[0] != '\0' ? d->would_decide : "A test that reaches the claim");
    MISSING_SAY(item->helps, "%s", d->reason[0] != '\0' ? d->reason : "The test stopped short of it");
}

/* What tests claims of these kinds, when the discharge does not. */
struct way {
    const char *what, *next, *helps;
    enum claim_kind kinds[8]; /* ended by CLAIM_KINDS */
};

static const struct way ways[] = {
    {"nobody weighed or measured", "Weigh and measure it, with the scale's and the rule's own accuracy, and note both on the label",
     "A minute each; they are decided at once, and tell how much energy a kilogram can hold",
     {CLAIM_MASS, CLAIM_LENGTH, CLAIM_WIDTH, CLAIM_HEIGHT, CLAIM_KINDS}},
    {"nobody looked at", "Try it, film it, and note on the label what was seen, and where",
     "What somebody saw can be disputed by a second film, and by nothing else", {CLAIM_YES_NO, CLAIM_CELLS, CLAIM_KINDS}},
    {"no charge was recorded for", "Record a charge, with volts and amps, from empty until it ends",
     "It decides these, shows that the sample was full, and gives its efficiency",
     {CLAIM_CHARGE_VOLTAGE, CLAIM_CHARGE_CURRENT, CLAIM_CHARGE_CUT_OFF, CLAIM_EFFICIENCY, CLAIM_KINDS}},
    {"no test in the cold or the heat was made for",
     "Bring the whole sample to that temperature and try to charge it there; note what the BMS did. Do not charge it cold by going round the BMS",
     "It shows whether the BMS keeps what the label promises",
     {CLAIM_CHARGE_TEMPERATURE_MIN, CLAIM_CHARGE_TEMPERATURE_MAX, CLAIM_DISCHARGE_TEMPERATURE_MIN,
      CLAIM_DISCHARGE_TEMPERATURE_MAX, CLAIM_KINDS}},
    {"no single test can decide", "Leave it named as not tested; hundreds of cycles under the maker's conditions would be a test of another kind",
     "A first capacity says nothing of the thousandth", {CLAIM_CYCLE_LIFE, CLAIM_KINDS}},
    {"the discharge did not show", "Record a discharge with a step of the load and on to the end",
     "One good discharge decides most of these",
     {CLAIM_NOMINAL_VOLTAGE, CLAIM_CAPACITY, CLAIM_ENERGY, CLAIM_CUT_OFF_VOLTAGE, CLAIM_RESISTANCE, CLAIM_CONTINUOUS_CURRENT,
      CLAIM_PEAK_CURRENT, CLAIM_SUITS_LOAD}},
};

static bool goes(const struct way *way, enum claim_kind kind)
{
    for (size_t k = 0; k < sizeof way->kinds / sizeof *way->kinds && way->kinds[k] != CLAIM_KINDS; k++)
        if (way->kinds[k] == kind)
            return true;
    return false;
}

static void not_tested(const struct assessment *assessment, const struct way *way, struct missing_list *list)
{
    struct text names = TEXT_EMPTY;
    size_t first = SIZE_MAX;
    for (size_t k = 0; k < assessment->decision_count; k++) {
        const struct decision *d = &assessment->decisions[k];
        if (d->verdict != VERDICT_NOT_TESTED || !goes(way, d->claim->kind))
            continue;
        char name[80];
        claim_name_within(d->claim->name, name, sizeof name);
        text_addf(&names, "%s%s", names.length > 0 ? ", " : "", name);
        first = first == SIZE_MAX ? k : first;
    }
    if (first != SIZE_MAX) {
        struct missing *item = missing_add(list, MISSING_OPEN);
        item->claim = first;
        MISSING_SAY(item->what, "Not tested, since %s: %s", way->what, text_string(&names));
        MISSING_SAY(item->next, "%s", way->next);
        MISSING_SAY(item->helps, "%s", way->helps);
    }
    text_free(&names);
}

void missing_of_claims(const struct assessment *assessment, struct missing_list *list)
{
    for (size_t k = 0; k < assessment->decision_count; k++) {
        if (assessment->decisions[k].verdict == VERDICT_TOO_CLOSE)
            too_close(assessment, k, list);
        if (assessment->decisions[k].verdict == VERDICT_NOT_EXERCISED)
            not_exercised(assessment, k, list);
    }
    for (size_t k = 0; k < sizeof ways / sizeof *ways; k++)
        not_tested(assessment, &ways[k], list);
}
