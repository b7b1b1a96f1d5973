#include "claims/foresee.h"

#include "claims/rules.h"
#include "numeric/budget.h"

#include <stdarg.h>

/* A test that parts a claim to two per cent decides what buyers quarrel about: common practice, no source. */
static const double decides_share = 0.02;
static const double digit_usual = 0.01; /* V or A, where the rig states no resolution: a panel meter's */
static const double empty_cell_v = 2.8; /* as in rules_capacity.c */

/* An error bounded by `half`, of the rig's own: shared with nothing else here. */
static void add(struct measure *m, const struct rig *rig, enum channel channel, enum error_kind kind, enum cause cause,
                double half, const char *what, const char *remedy)
{
    measure_part(m, (struct part){.cause = cause, .shape = SHAPE_RECTANGULAR, .u = half / sqrt(3), .dof = INFINITY,
                                  .source = rig_source(rig, channel, kind), .what = what, .remedy = remedy});
}

/* What this rig would make of an amount. */
static struct measure expected(double value, const struct rig *rig, const struct plan *plan, bool energy)
{
    struct measure m = measure_of(value);
    const struct accuracy *a = &rig->of[CHANNEL_CURRENT], *v = &rig->of[CHANNEL_VOLTAGE];
    double volts = plan->base.w / plan->base.a;
    add(&m, rig, CHANNEL_CURRENT, ERROR_GAIN, CAUSE_GAIN_CURRENT, a->gain * value, "gain of the current channel",
        "a calibrated shunt or a better current meter");
    add(&m, rig, CHANNEL_CURRENT, ERROR_SHUNT, CAUSE_GAIN_CURRENT, a->shunt_gain * value, "shunt", "a shunt of a better class");
    add(&m, rig, CHANNEL_CURRENT, ERROR_OFFSET, CAUSE_OFFSET_CURRENT, accuracy_offset(a, digit_usual) / plan->base.a * value,
        "offset of the current channel", "zero the current meter before the test");
    add(&m, rig, 0, ERROR_CLOCK, CAUSE_CLOCK, rig->clock * value, "clock", "a better clock");
    if (energy) {
        add(&m, rig, CHANNEL_VOLTAGE, ERROR_GAIN, CAUSE_GAIN_VOLTAGE, v->gain * value, "gain of the voltage channel",
            "a better voltmeter at the terminals");
        add(&m, rig, CHANNEL_VOLTAGE, ERROR_OFFSET, CAUSE_OFFSET_VOLTAGE, accuracy_offset(v, digit_usual) / volts * value,
            "offset of the voltage channel", "a better voltmeter at the terminals");
        add(&m, rig, CHANNEL_POWER, ERROR_GAIN, CAUSE_RIPPLE, plan->ripple_share * value, "the inverter's ripple, unknown",
            "the ripple stated in the rig file, or a load without one");
    }
    budget_close(&m);
    return m;
}

static void say_cheapest(const struct measure *m, struct prospect *p)
{
    const struct part *largest = NULL;
    for (int k = 0; k < m->count; k++)
        if (largest == NULL || fabs(m->parts[k].u) > fabs(largest->u))
            largest = &m->parts[k];
    if (largest != NULL)
        snprintf(p->cheapest, sizeof p->cheapest, "%s (%s is %.0f %% of the variance)", largest->remedy, largest->what,
                 100 * pow(largest->u / m->u, 2));
}

__attribute__((format(printf, 2, 3)))
static void add_reason(struct prospect *p, const char *words, ...)
{
    size_t used = strlen(p->reason);
    va_list args;
    va_start(args, words);
    vsnprintf(p->reason + used, sizeof p->reason - used, words, args);
    va_end(args);
}

/* The base load against the conditions of the claim, as the verdict will see them. */
static void say_effect(const struct label *label, const struct claim *claim, const struct plan *plan, struct prospect *p)
{
    struct findings planned = {.test_mean_a = plan->base.a, .test_degc = isnan(claim->degc) ? 25 : claim->degc,
                               .test_mean_v = measure_of(plan->base.w / plan->base.a)};
    struct effect effect = effect_of_conditions(claim, &planned, label->rated_ah);
    if (effect.words[0] == '\0')
        return;
    add_reason(p, "; %s: ", effect.words);
    if (effect.lo < 0)
        add_reason(p, "a difference");
    else
        add_reason(p, "a shortfall");
    if (isfinite(effect.hi) && isfinite(effect.lo))
        add_reason(p, " of up to %.1f %% may come from that", 100 * fmax(effect.hi, -effect.lo));
    else
        add_reason(p, " may come from that");
    add_reason(p, " and stays open");
}

static bool gives_up_early(const struct label *label, double cut_off_v, const struct plan *plan)
{
    double empty_v = label->cells > 0 ? empty_cell_v * label->cells : NAN;
    return plan->gives_up_v > (isnan(cut_off_v) ? empty_v : cut_off_v);
}

static void foresee_amount(const struct label *label, const struct claim *claim, const struct rig *rig,
                           const struct plan *plan, struct prospect *p)
{
    struct measure m = expected(claim->stated, rig, plan, claim->kind == CLAIM_ENERGY);
    p->half_width = 0.5 * (m.hi - m.lo);
    double share = p->half_width / claim->stated;
    if (plan->fills_after_s < plan->duration_s) {
        p->outlook = OUTLOOK_CANNOT_REACH;
        add_reason(p, "the base load is full before the sample is empty");
        snprintf(p->cheapest, sizeof p->cheapest, "a base load that does not fill up");
        return;
    }
    if (gives_up_early(label, claim->cut_off_v, plan)) {
        p->outlook = OUTLOOK_CANNOT_REACH;
        add_reason(p, "the inverter gives up at %.4g V, before the sample is empty", plan->gives_up_v);
        snprintf(p->cheapest, sizeof p->cheapest, "a lower cut-off of the inverter, or a load that needs none");
        return;
    }
    p->outlook = share <= decides_share ? OUTLOOK_DECIDES : OUTLOOK_ONLY_IF_CLEAR;
    add_reason(p, "expected ±%.2g %%: a sample further than %.2g %s from its claim is decided", 100 * share,
               p->half_width, quantity_symbol(claim->quantity));
    say_effect(label, claim, plan, p);
    if (p->outlook != OUTLOOK_DECIDES)
        say_cheapest(&m, p);
}

/* By how much of itself the reading of such a current or power may be off. */
static double level_share(double level, const struct rig *rig, const struct plan *plan, bool power)
{
    double volts = plan->base.w / plan->base.a, amps = power ? level / volts : level;
    double share = accuracy_bound(&rig->of[CHANNEL_CURRENT], amps, digit_usual) / amps;
    return power ? share + accuracy_bound(&rig->of[CHANNEL_VOLTAGE], volts, digit_usual) / volts : share;
}

/* A current or a power to be held, for a moment or for a whole discharge. */
static void foresee_level(const struct claim *claim, const struct rig *rig, const struct plan *plan, bool whole,
                          struct prospect *p)
{
    bool power = claim->quantity == QUANTITY_POWER;
    const char *symbol = quantity_symbol(claim->quantity);
    double share = level_share(claim->stated, rig, plan, power), needed = claim->stated * (1 + share), have = power ? plan->reach_w : plan->reach_a;
    p->half_width = 0.95 * share * claim->stated;
    if (have < needed) {
        p->outlook = OUTLOOK_CANNOT_REACH;
        add_reason(p, "the loads reach about %.0f %s together; %.4g %s are needed to be sure of %.4g %s with this rig", have,
                   symbol, needed, symbol, claim->stated, symbol);
        double more_w = (needed - have) * (power ? 1 : plan->reach_w / plan->reach_a);
        snprintf(p->cheapest, sizeof p->cheapest, "another load of about %.0f W at the sample, within what the inverter carries",
                 more_w);
        return;
    }
    if (isinf(have))
        add_reason(p, "needs loads of %.4g %s at the sample", needed, symbol);
    else
        add_reason(p, "the loads reach about %.0f %s together", have, symbol);
    p->outlook = whole ? OUTLOOK_ONLY_IF_CLEAR : OUTLOOK_DECIDES;
    if (!whole)
        return;
    add_reason(p, "; a BMS that opens in the burst refutes it, but a burst that holds proves no %s",
               power ? "whole discharge" : "continuous rating");
    snprintf(p->cheapest, sizeof p->cheapest, "a second discharge wholly at %.4g %s, with a temperature at the terminals",
             claim->stated, symbol);
}

static void foresee_cut_off(const struct label *label, const struct claim *claim, const struct rig *rig,
                            const struct plan *plan, struct prospect *p)
{
    p->half_width = 0.95 * accuracy_bound(&rig->of[CHANNEL_VOLTAGE], claim->stated, digit_usual);
    if (gives_up_early(label, claim->stated, plan)) {
        p->outlook = OUTLOOK_CANNOT_REACH;
        add_reason(p, "the inverter gives up at %.4g V, before the BMS would open", plan->gives_up_v);
        snprintf(p->cheapest, sizeof p->cheapest, "a small load straight at the sample for the last minutes");
        return;
    }
    p->half_width += 0.95 * plan->drop_v / 2; /* a BMS opens by its cells, somewhere up to there above the terminals */
    p->outlook = OUTLOOK_ONLY_IF_CLEAR;
    add_reason(p, "comes with the end of the discharge, ±%.2g V: a BMS opens by its cells, not by the terminals", p->half_width);
    snprintf(p->cheapest, sizeof p->cheapest, "a small load for the last minutes");
}

static void foresee_other(const struct claim *claim, const struct rig *rig, const struct plan *plan, struct prospect *p)
{
    switch (claim->kind) {
    case CLAIM_NOMINAL_VOLTAGE:
        p->outlook = OUTLOOK_DECIDES;
        p->half_width = 0.95 * (accuracy_bound(&rig->of[CHANNEL_VOLTAGE], claim->stated, digit_usual) +
                                plan->ripple_share * claim->stated);
        add_reason(p, "comes with the discharge, ±%.2g V", p->half_width);
        break;
    case CLAIM_RESISTANCE:
        p->outlook = OUTLOOK_ONLY_IF_CLEAR;
        add_reason(p, "comes with the steps of the load; a figure taken with alternating current is smaller by nature");
        break;
    case CLAIM_CYCLE_LIFE: add_reason(p, "one discharge says nothing about it"); break;
    case CLAIM_CHARGE_CURRENT:
    case CLAIM_CHARGE_VOLTAGE: add_reason(p, "log a charge too"); break;
    case CLAIM_EFFICIENCY: add_reason(p, "log the charge after it too, until it is as full as before"); break;
    default: add_reason(p, "weigh it, measure it or try it, and note what comes under [measured] in the label file"); break;
    }
}

static bool noted(const struct label *label, const struct claim *claim)
{
    for (size_t k = 0; k < label->noted_count; k++)
        if (strcmp(label->noted[k].slug, claim->slug) == 0)
            return true;
    return false;
}

struct prospect foresee(const struct label *label, const struct claim *claim, const struct rig *rig,
                        const struct plan *plan)
{
    struct prospect p = {.claim = claim, .outlook = OUTLOOK_OTHER_TEST, .half_width = NAN};
    switch (claim->kind) {
    case CLAIM_CAPACITY:
    case CLAIM_ENERGY: foresee_amount(label, claim, rig, plan, &p); break;
    case CLAIM_CONTINUOUS_CURRENT:
    case CLAIM_SUITS_LOAD: foresee_level(claim, rig, plan, true, &p); break;
    case CLAIM_PEAK_CURRENT: foresee_level(claim, rig, plan, false, &p); break;
    case CLAIM_CUT_OFF_VOLTAGE: foresee_cut_off(label, claim, rig, plan, &p); break;
    default: foresee_other(claim, rig, plan, &p); break;
    }
    if (p.outlook == OUTLOOK_OTHER_TEST && noted(label, claim)) {
        p.outlook = OUTLOOK_DECIDES;
        snprintf(p.reason, sizeof p.reason, "noted in the label file already");
    }
    return p;
}
