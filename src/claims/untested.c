#include "claims/untested.h"

#include "claims/stop_named.h"

/* Whether a record has what the finder looks for. */
typedef bool looked_for(const struct findings *findings);

static bool has_test(const struct findings *findings)
{
    return findings->has_test;
}

static bool has_charge(const struct findings *findings)
{
    return findings->charging_count > 0;
}

static bool has_stop(const struct findings *findings, bool charging, enum trip_way way)
{
    for (size_t k = 0; k < findings->trip_count; k++)
        if (findings->trips[k].charging == charging && findings->trips[k].way == way)
            return true;
    return false;
}

static bool has_cold_stop(const struct findings *findings)
{
    return has_stop(findings, true, TRIP_COLD);
}

static bool has_hot_stop(const struct findings *findings)
{
    return has_stop(findings, true, TRIP_HOT);
}

static bool has_high_stop(const struct findings *findings)
{
    return has_stop(findings, true, TRIP_HIGH);
}

/* A discharge that the board ended for its current is none. */
static bool has_low_stop(const struct findings *findings)
{
    return findings->low_stop_count > 0;
}

static bool has_current_stop(const struct findings *findings)
{
    return has_stop(findings, false, TRIP_OVER_CURRENT) || has_stop(findings, true, TRIP_OVER_CURRENT);
}

struct tested_part {
    looked_for *has;
    enum claim_kind kind; /* of a claim that is decided by this part alone; CLAIM_KINDS: none */
    enum trip_way way;    /* of a claim in words; TRIP_UNKNOWN: none */
    const char *words;
};

static const struct tested_part plain[] = {
    {has_test, CLAIM_KINDS, TRIP_UNKNOWN, "what it delivers"},
    {has_charge, CLAIM_KINDS, TRIP_UNKNOWN, "its charge"},
};
static const struct tested_part protections[] = {
    {has_cold_stop, CLAIM_CHARGE_TEMPERATURE_MIN, TRIP_COLD, "charging in the cold"},
    {has_hot_stop, CLAIM_CHARGE_TEMPERATURE_MAX, TRIP_HOT, "charging in the heat"},
    {has_high_stop, CLAIM_CHARGE_CUT_OFF, TRIP_HIGH, "an overfull cell"},
    {has_low_stop, CLAIM_CUT_OFF_VOLTAGE, TRIP_LOW, "an empty cell"},
    {has_current_stop, CLAIM_KINDS, TRIP_OVER_CURRENT, "too much current"},
};

static bool is_about(const struct tested_part *part, const struct claim *claim)
{
    struct stop_named named = stop_named(claim);
    bool by_sensor = part->way == TRIP_COLD || part->way == TRIP_HOT;
    if (part->way != TRIP_UNKNOWN && named.way == part->way && (named.charging || !by_sensor))
        return true;
    return claim->kind == part->kind;
}

static bool is_untested(const struct assessment *assessment, const struct tested_part *part)
{
    for (size_t r = 0; r < assessment->record_count; r++)
        if (part->has(&assessment->records[r].findings))
            return false;
    for (size_t k = 0; k < assessment->decision_count; k++) {
        const struct decision *d = &assessment->decisions[k];
        if (d->verdict != VERDICT_NOT_TESTED && d->verdict != VERDICT_NOT_EXERCISED && is_about(part, d->claim))
            return false;
    }
    return true;
}

/* `a, b and c`: the untested among these parts; returns how many. */
static size_t list(const struct assessment *assessment, const struct tested_part *parts, size_t count, struct text *text)
{
    const char *words[sizeof protections / sizeof protections[0]];
    size_t untested = 0;
    for (size_t k = 0; k < count; k++)
        if (is_untested(assessment, &parts[k]))
            words[untested++] = parts[k].words;
    for (size_t k = 0; k < untested; k++)
        text_addf(text, "%s%s", k == 0 ? "" : k + 1 == untested ? " and " : ", ", words[k]);
    return untested;
}

void untested_say(const struct assessment *assessment, struct text *text)
{
    struct text parts = TEXT_EMPTY, against = TEXT_EMPTY;
    size_t plains = list(assessment, plain, sizeof plain / sizeof plain[0], &parts);
    size_t protects = list(assessment, protections, sizeof protections / sizeof protections[0], &against);
    if (plains + protects > 0)
        text_addf(text, "Not tested: %s%s", text_string(&parts), plains > 0 && protects > 0 ? "; " : "");
    if (protects > 0)
        text_addf(text, "its protection%s against %s", protects == 1 ? "" : "s", text_string(&against));
    if (plains + protects > 0)
        text_add(text, ". ");
    if (!assessment->has_opened)
        text_add(text, "It was not opened. ");
    text_free(&parts);
    text_free(&against);
}
