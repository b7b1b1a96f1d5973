#include "claims/decide.h"

#include "claims/conformity.h"
#include "claims/rules.h"

#include <stdint.h>

static decision_rule *const rules[CLAIM_KINDS] = {
    [CLAIM_NOMINAL_VOLTAGE] = rule_nominal_voltage,
    [CLAIM_CAPACITY] = rule_capacity,
    [CLAIM_ENERGY] = rule_energy,
    [CLAIM_CONTINUOUS_CURRENT] = rule_continuous_current,
    [CLAIM_PEAK_CURRENT] = rule_peak_current,
    [CLAIM_CHARGE_VOLTAGE] = rule_charge_voltage,
    [CLAIM_CHARGE_CURRENT] = rule_charge_current,
    [CLAIM_CUT_OFF_VOLTAGE] = rule_cut_off_voltage,
    [CLAIM_CHARGE_CUT_OFF] = rule_charge_cut_off,
    [CLAIM_CHARGE_TEMPERATURE_MIN] = rule_charge_temperature,
    [CLAIM_CHARGE_TEMPERATURE_MAX] = rule_charge_temperature,
    [CLAIM_DISCHARGE_TEMPERATURE_MIN] = rule_noted,
    [CLAIM_DISCHARGE_TEMPERATURE_MAX] = rule_noted,
    [CLAIM_MASS] = rule_noted,
    [CLAIM_LENGTH] = rule_noted,
    [CLAIM_WIDTH] = rule_noted,
    [CLAIM_HEIGHT] = rule_noted,
    [CLAIM_CELLS] = rule_noted,
    [CLAIM_CYCLE_LIFE] = rule_cycle_life,
    [CLAIM_RESISTANCE] = rule_resistance,
    [CLAIM_EFFICIENCY] = rule_efficiency,
    [CLAIM_YES_NO] = rule_yes_no,
    [CLAIM_SUITS_LOAD] = rule_suits_load,
};

const char *verdict_name(enum verdict verdict)
{
    static const char *const names[] = {"met", "not met", "too close to call", "not exercised", "not tested"};
    return names[verdict];
}

size_t evidence_main(const struct evidence *evidence)
{
    size_t best = SIZE_MAX;
    for (size_t k = 0; k < evidence->count; k++) {
        const struct findings *f = &evidence->findings[k];
        if (f->has_test && measure_known(&f->test_ah) &&
            (best == SIZE_MAX || f->test_ah.value > evidence->findings[best].test_ah.value))
            best = k;
    }
    return best;
}

static double probability_of(const struct claim *claim, const struct measure *measure)
{
    switch (claim->sense) {
    case SENSE_AT_LEAST: return conformity_at_least(measure, claim->stated);
    case SENSE_AT_MOST: return conformity_at_most(measure, claim->stated);
    case SENSE_ABOUT:
        return conformity_within(measure, claim->stated - claim->tolerance, claim->stated + claim->tolerance);
    case SENSE_TRUE: break;
    }
    return NAN;
}

/* The same for value·(1 + fraction). */
static double probability_moved(const struct claim *claim, const struct measure *measure, double fraction)
{
    if (isinf(fraction))
        return claim->sense == SENSE_ABOUT ? 0 : (fraction > 0) == (claim->sense == SENSE_AT_LEAST) ? 1 : 0;
    struct measure moved = *measure;
    double by = measure->value * fraction;
    moved.value += by, moved.lo += by, moved.hi += by;
    return probability_of(claim, &moved);
}

void rule_hold(const struct evidence *evidence, const struct claim *claim, const struct measure *measure,
               const struct effect *effect, struct decision *decision)
{
    double p_low = probability_moved(claim, measure, effect->lo);
    double p_high = probability_moved(claim, measure, effect->hi);
    decision->probability = probability_of(claim, measure);
    decision->measured = *measure;
    measure_print_in(measure, claim->quantity, decision->found, sizeof decision->found);
    if (fmin(p_low, p_high) >= evidence->decide)
        decision->verdict = VERDICT_MET;
    else if (fmax(p_low, p_high) <= 1 - evidence->decide)
        decision->verdict = VERDICT_NOT_MET;
    else
        decision->verdict = VERDICT_TOO_CLOSE;
    double p = decision->probability;
    decision->conditions_open =
        decision->verdict == VERDICT_TOO_CLOSE && (p >= evidence->decide || p <= 1 - evidence->decide);
}

double claim_limit(const struct claim *claim, double value)
{
    if (claim->sense != SENSE_ABOUT)
        return claim->stated;
    return claim->stated + (value > claim->stated ? claim->tolerance : -claim->tolerance);
}

void rule_what_would_decide(const struct claim *claim, const struct measure *measure, struct decision *decision)
{
    double limit = claim_limit(claim, measure->value), margin = fabs(measure->value - limit);
    double half = 0.5 * (measure->hi - measure->lo);
    if (!(margin > 0.05 * half)) { /* would need a rig twenty times better: no rig will do */
        snprintf(decision->would_decide, sizeof decision->would_decide,
                 "no rig: the value lies on the claim itself, and only several samples could part them");
        return;
    }
    const struct part *largest = NULL;
    for (int k = 0; k < measure->count; k++)
        if (largest == NULL || fabs(measure->parts[k].u) > fabs(largest->u))
            largest = &measure->parts[k];
    const char *remedy = largest != NULL && largest->remedy != NULL ? largest->remedy : "";
    snprintf(decision->would_decide, sizeof decision->would_decide, "an overall uncertainty of ±%.2g %%%s%s",
             100 * margin / fabs(limit), remedy[0] != '\0' ? ": " : "", remedy);
}

void decide_all(const struct label *label, const struct findings *findings, size_t count, const struct rig *rig,
                double decide, struct decision *ret_decisions)
{
    struct evidence evidence = {label, findings, count, rig, decide};
    for (size_t k = 0; k < label->claim_count; k++) {
        const struct claim *claim = &label->claims[k];
        struct decision decision = {
            .claim = claim,
            .verdict = VERDICT_NOT_TESTED,
            .measured = measure_unknown("nothing in the readings bears on it"),
            .probability = NAN,
            .reached = NAN,
            .record = SIZE_MAX,
        };
        struct decision noted = decision;
        rules[claim->kind](&evidence, claim, &decision);
        rule_noted(&evidence, claim, &noted);
        bool only_noted = decision.verdict == VERDICT_NOT_TESTED && noted.verdict != VERDICT_NOT_TESTED;
        ret_decisions[k] = only_noted ? noted : decision;
    }
}
