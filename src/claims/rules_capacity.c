/* Charge and energy delivered against the rating. */
#include "claims/rules.h"

#include "base/number.h"

#include <stdint.h>

/* Lithium iron phosphate under load is all but empty below this mean per cell: common practice, no source. */
static const double empty_cell_v = 2.8;
/* What such a pack still gives from there until its BMS opens, as a share: from memory. */
static const double left_share = 0.06;
struct delivered {
    const struct measure *measure;
    bool whole;  /* down to the claim's cut-off, or to where the sample itself gave up */
    double left; /* share that may have been left in it all the same */
    char until[128];
    const struct ending *ended;
};

static void say_until(const struct ending *ended, bool tripped, struct delivered *d)
{
    char at[48] = "";
    if (measure_known(&ended->end_v)) {
        char volts[32];
        number_print(ended->end_v.value, 0.5 * (ended->end_v.hi - ended->end_v.lo), volts, sizeof volts);
        snprintf(at, sizeof at, " at %s V", volts);
    }
    snprintf(d->until, sizeof d->until, "until %s%s%s",
             tripped                   ? "the BMS opened in a burst"
             : ended->by == ENDED_BMS  ? "the BMS opened"
             : ended->by == ENDED_LOAD ? "the load gave up"
                                       : "the end of the discharge",
             at, d->left > 0 ? ", when little was left" : "");
}

static struct delivered find_delivered(const struct claim *claim, const struct findings *f, const struct label *label, bool energy)
{
    struct delivered d = {.measure = energy ? &f->test_wh : &f->test_ah, .ended = &f->runs[f->test_last_run].ended};
    for (size_t k = 0; k < f->capacity_count && !isnan(claim->cut_off_v); k++) {
        const struct capacity *c = &f->capacities[k];
        if (!c->reached || fabs(c->cut_off_v - claim->cut_off_v) > 0.005)
            continue;
        d.measure = energy ? &c->energy_wh : &c->charge_ah;
        d.whole = true;
        snprintf(d.until, sizeof d.until, "down to %.4g V", c->cut_off_v);
        return d;
    }
    const struct run *last = &f->runs[f->test_last_run];
    const struct ending *ended = &last->ended;
    bool opened = ended->by == ENDED_BMS, tripped = rule_tripped(f, last, label);
    bool nearly = ended->end_cell_v <= empty_cell_v || (isnan(ended->end_cell_v) && !isnan(ended->knee_s));
    bool empty = nearly && !tripped && label->lithium_iron_phosphate;
    d.whole = (opened && ended->low && !tripped) || (empty && isnan(claim->cut_off_v));
    d.left = opened || !empty ? 0 : left_share;
    say_until(ended, tripped, &d);
    return d;
}

static void settle_partial(const struct label *label, const struct claim *claim, const struct measure *measure,
                           const struct delivered *d, struct decision *decision)
{
    bool other = !label->lithium_iron_phosphate && d->ended->by != ENDED_BMS;
    decision->verdict = VERDICT_NOT_EXERCISED;
    decision->reached = measure->value;
    decision->probability = NAN;
    snprintf(decision->reason, sizeof decision->reason, "delivered %s %s, %s", decision->found, d->until,
             d->left > 0                     ? "above the stated cut-off"
             : !measure_known(&d->ended->end_v) ? "and no volts say whether it was empty then"
             : other                          ? "and at which volts a sample of its chemistry is empty is not known"
                                              : "and it was not empty then");
    snprintf(decision->would_decide, sizeof decision->would_decide,
             "a discharge that goes on until the BMS opens%s", isnan(claim->cut_off_v) ? "" : " or the stated cut-off");
}

/* An underfilled pack delivers less: that it was not shown to be full may excuse a shortfall, and makes what was met no less. */
static void say_full(const struct findings *f, enum verdict verdict, char *words, size_t size)
{
    const char *was = f->full_before > 0 ? "" : f->full_before == 0 ? "; it was not full before" : "; it was not shown to be full before";
    snprintf(words, size, "%s%s", was,
             was[0] == '\0'               ? ""
             : verdict == VERDICT_MET     ? ", which can only have made it deliver less"
             : f->full_doubted           ? ", and an underfilled pack delivers less"
                                         : "");
}

static void explain(const struct evidence *evidence, const struct claim *claim, const struct findings *f,
                    const struct delivered *d, const struct effect *effect, struct decision *decision)
{
    char full[128];
    say_full(f, decision->verdict, full, sizeof full);
    if (effect->words[0] != '\0')
        snprintf(decision->reason, sizeof decision->reason, "%s; %s%s", d->until, effect->words, full);
    else
        snprintf(decision->reason, sizeof decision->reason, "%s, as tested%s", d->until, full);
    if (decision->verdict != VERDICT_TOO_CLOSE)
        return;
    if (decision->would_decide[0] != '\0')
        return;
    if (decision->conditions_open && d->left > 0)
        snprintf(decision->would_decide, sizeof decision->would_decide, "a discharge that goes on until the BMS opens");
    else if (decision->conditions_open)
        rule_ask_for_conditions(claim, evidence->label->rated_ah, decision);
    else
        rule_what_would_decide(claim, d->measure, decision);
}

static void hold_amount(const struct evidence *evidence, const struct claim *claim, bool energy,
                        struct decision *decision)
{
    size_t main = evidence_main(evidence);
    if (main == SIZE_MAX) {
        snprintf(decision->reason, sizeof decision->reason, "no discharge in the readings");
        return;
    }
    const struct findings *f = &evidence->findings[main];
    struct delivered d = find_delivered(claim, f, evidence->label, energy);
    decision->record = main;
    if (!measure_known(d.measure)) {
        snprintf(decision->reason, sizeof decision->reason, "cannot tell: %s", d.measure->why);
        decision->measured = *d.measure;
        return;
    }
    struct effect effect = effect_of_conditions(claim, f, evidence->label->rated_ah);
    effect.hi += d.whole ? d.left : 0;
    rule_hold(evidence, claim, d.measure, &effect, decision);
    if (f->beginning_unseen && decision->verdict != VERDICT_MET) {
        decision->verdict = VERDICT_NOT_EXERCISED;
        decision->reached = d.measure->value;
        decision->probability = NAN;
        snprintf(decision->reason, sizeof decision->reason,
                 "the readings begin with the discharge under way: it delivered this and what had flowed before");
        snprintf(decision->would_decide, sizeof decision->would_decide,
                 "a log that begins before the load is switched on");
        return;
    }
    if (!d.whole && decision->verdict != VERDICT_MET) {
        settle_partial(evidence->label, claim, d.measure, &d, decision);
        return;
    }
    if (f->full_doubted && decision->verdict == VERDICT_NOT_MET) {
        decision->verdict = VERDICT_TOO_CLOSE;
        decision->conditions_open = true;
        snprintf(decision->would_decide, sizeof decision->would_decide, "a test from a charge shown to be full");
    }
    explain(evidence, claim, f, &d, &effect, decision);
}

void rule_capacity(const struct evidence *evidence, const struct claim *claim, struct decision *decision)
{
    hold_amount(evidence, claim, false, decision);
}

void rule_energy(const struct evidence *evidence, const struct claim *claim, struct decision *decision)
{
    hold_amount(evidence, claim, true, decision);
}
