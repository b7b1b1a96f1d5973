#include "claims/rules.h"

#include "base/text.h"

/* Peukert exponents of lithium iron phosphate, bounds: from memory (many authors: 1.00 to 1.03). */
static const double exponent_lo = 1.00;
const double effect_exponent_most = 1.05;
/* Capacity per kelvin towards the warm, bounds between 0 and 45 °C: from memory. */
const double effect_per_kelvin_most = 0.008;
/* What stands for a condition that the label does not state: IEC 62620, IEC 61960-3. */
static const double reference_it = 0.2, reference_degc = 25;
/* A bench whose temperature nobody wrote down: common practice, no source. */
static const double bench_lo_degc = 15, bench_hi_degc = 25;
/* Long after a step a pack's resistance is up to twice that of its first half minute: from memory. */
static const double slow_resistance = 2;
/* IEC 62620 and IEC 61960-3 allow 5 K about their temperature; rates within a tenth count as the same. */
const double effect_kelvin_same = 5, effect_rate_same = 0.10;

static void add_words(struct effect *effect, const char *words)
{
    size_t used = strlen(effect->words);
    snprintf(effect->words + used, sizeof effect->words - used, "%s%s", used > 0 ? "; " : "", words);
}

/* A condition that is not stated can only excuse a shortfall. */
static void add(struct effect *effect, double lo, double hi, bool stated)
{
    effect->lo += stated ? fmin(lo, 0) : 0;
    effect->hi += fmax(hi, 0);
}

double findings_first_ohm(const struct findings *findings)
{
    double largest = NAN;
    for (size_t k = 0; k < findings->step_count; k++)
        if (findings->steps[k].resistances > 0)
            largest = fmax(largest, findings->steps[k].resistance[0].ohm.value);
    return largest;
}

static double largest_ohm(const struct findings *findings)
{
    double largest = NAN;
    for (size_t k = 0; k < findings->step_count; k++)
        for (int j = 0; j < findings->steps[k].resistances; j++)
            largest = fmax(largest, findings->steps[k].resistance[j].ohm.value); /* fmax passes over NaN */
    return largest;
}

/* Energy also changes with the volts that the resistance takes. */
static void add_drop(const struct findings *findings, double more_a, bool stated, struct effect *effect)
{
    double share = slow_resistance * largest_ohm(findings) * more_a / findings->test_mean_v.value;
    if (isnan(share))
        share = more_a > 0 ? INFINITY : -INFINITY;
    add(effect, share, share, stated);
}

static void add_rate(const struct claim *claim, const struct findings *findings, double rated_ah,
                     struct effect *effect)
{
    bool stated = !isnan(claim->rate_it);
    double it = stated ? claim->rate_it : reference_it, ratio = findings->test_mean_a / (it * rated_ah);
    if (!(ratio > 0) || fabs(ratio - 1) <= effect_rate_same || (!stated && ratio < 1))
        return;
    double one = pow(ratio, exponent_lo - 1) - 1, other = pow(ratio, effect_exponent_most - 1) - 1;
    add(effect, fmin(one, other), fmax(one, other), stated);
    if (claim->quantity == QUANTITY_ENERGY)
        add_drop(findings, findings->test_mean_a - it * rated_ah, stated, effect);
    char words[96];
    snprintf(words, sizeof words, stated ? "tested at %.2f It, claimed at %.2g It" : "tested at %.2f It, no rate stated",
             findings->test_mean_a / rated_ah, it);
    add_words(effect, words);
}

static void add_temperature(const struct claim *claim, const struct findings *findings, struct effect *effect)
{
    bool stated = !isnan(claim->degc), recorded = !isnan(findings->test_degc);
    double degc = stated ? claim->degc : reference_degc;
    double least = degc - (recorded ? findings->test_degc : bench_hi_degc); /* so much colder was the test */
    double most = degc - (recorded ? findings->test_degc : bench_lo_degc);
    double lo = least < -effect_kelvin_same ? least * effect_per_kelvin_most : 0;
    double hi = most > effect_kelvin_same ? most * effect_per_kelvin_most : 0;
    if (!(hi > 0 || (stated && lo < 0)))
        return;
    add(effect, lo, hi, stated);
    char words[96] = "temperature not recorded";
    if (recorded)
        snprintf(words, sizeof words, stated ? "tested at %.0f °C, claimed at %.0f °C" : "tested at %.0f °C, none stated",
                 findings->test_degc, degc);
    add_words(effect, words);
}

struct effect effect_of_conditions(const struct claim *claim, const struct findings *findings, double rated_ah)
{
    struct effect effect = {0};
    add_rate(claim, findings, rated_ah, &effect);
    add_temperature(claim, findings, &effect);
    return effect;
}

void rule_ask_for_conditions(const struct claim *claim, double rated_ah, struct decision *decision)
{
    bool rate = !isnan(claim->rate_it), warmth = !isnan(claim->degc);
    double it = rate ? claim->rate_it : reference_it, degc = warmth ? claim->degc : reference_degc;
    snprintf(decision->would_decide, sizeof decision->would_decide, "a test at %.3g A (%.3g It) and %.0f °C, %s",
             it * rated_ah, it, degc,
             rate && warmth ? "as the label states" : "as the standards ask where the label is silent");
}
