#include "claims/rules.h"

#include "base/text.h"

/* Peukert exponents of lithium iron phosphate, bounds: from memory (many authors: 1.00 to 1.03). */
static const double exponent_lo = 1.00, exponent_hi = 1.05;
/* Capacity per kelvin towards the warm, bounds between 0 and 45 °C: from memory. */
static const double per_kelvin_hi = 0.008;
/* IEC 62620 and IEC 61960-3 allow 5 K about their temperature; rates within a tenth count as the same. */
static const double kelvin_allowed = 5, rate_allowed = 0.10;

static void add_words(struct effect *effect, const char *words)
{
    size_t used = strlen(effect->words);
    snprintf(effect->words + used, sizeof effect->words - used, "%s%s", used > 0 ? "; " : "", words);
}

static void add_rate(const struct claim *claim, const struct findings *findings, double rated_ah,
                     struct effect *effect)
{
    if (isnan(claim->rate_it) || !(rated_ah > 0) || !(findings->test_mean_a > 0))
        return;
    double ratio = findings->test_mean_a / (claim->rate_it * rated_ah);
    if (fabs(ratio - 1) <= rate_allowed)
        return;
    double one = pow(ratio, exponent_lo - 1) - 1, other = pow(ratio, exponent_hi - 1) - 1;
    effect->lo += fmin(one, other);
    effect->hi += fmax(one, other);
    char words[96];
    snprintf(words, sizeof words, "tested at %.2f It, claimed at %.2g It", findings->test_mean_a / rated_ah,
             claim->rate_it);
    add_words(effect, words);
}

static void add_temperature(const struct claim *claim, const struct findings *findings, struct effect *effect)
{
    if (isnan(claim->degc))
        return;
    if (isnan(findings->test_degc)) { /* a home bench, colder than claimed by 10 K at most */
        effect->hi += 10 * per_kelvin_hi;
        add_words(effect, "temperature not recorded");
        return;
    }
    double colder = claim->degc - findings->test_degc;
    if (fabs(colder) <= kelvin_allowed)
        return;
    effect->lo += fmin(0, colder * per_kelvin_hi);
    effect->hi += fmax(0, colder * per_kelvin_hi);
    char words[96];
    snprintf(words, sizeof words, "tested at %.0f °C, claimed at %.0f °C", findings->test_degc, claim->degc);
    add_words(effect, words);
}

struct effect effect_of_conditions(const struct claim *claim, const struct findings *findings, double rated_ah)
{
    struct effect effect = {0};
    add_rate(claim, findings, rated_ah, &effect);
    add_temperature(claim, findings, &effect);
    return effect;
}
