#include "battery/fullness.h"

#define TAIL_SHARE 0.25

struct tail fullness_tail(const struct delivery *delivery, const struct findings *findings, size_t run)
{
    struct tail tail = {false, NAN, NAN};
    const struct run *charge = &delivery->runs[run];
    if (charge->kind != RUN_CHARGE || charge->phases == 0 || delivery->basis->trace->v == NULL)
        return tail;
    const struct phase *last = &findings->phases[charge->first_phase + charge->phases - 1];
    double end_a = fabs(delivery->basis->trace->a[last->last]);
    if (last->mode != MODE_CONSTANT_VOLTAGE || end_a > TAIL_SHARE * charge->peak_a)
        return tail;
    return (struct tail){true, last->mean_v, end_a};
}

/* The last run of a kind before `end`; `end` when there is none. */
static size_t last_of(const struct delivery *delivery, enum run_kind kind, size_t end)
{
    for (size_t k = end; k-- > 0;)
        if (delivery->runs[k].kind == kind)
            return k;
    return end;
}

static void say(struct findings *findings, double full, const char *words)
{
    findings->full_before = full;
    snprintf(findings->full_words, sizeof findings->full_words, "%s", words);
}

void fullness_find(const struct delivery *delivery, struct findings *findings)
{
    size_t first = delivery->first, charge = last_of(delivery, RUN_CHARGE, first);
    size_t discharge = last_of(delivery, RUN_DISCHARGE, first);
    if (charge == first) {
        say(findings, NAN, "cannot tell: the log holds no charge before the test");
        return;
    }
    if (discharge != first && discharge > charge) {
        say(findings, 0, "not full: something was drawn between the charge and the test");
        return;
    }
    struct tail tail = fullness_tail(delivery, findings, charge);
    if (tail.seen) {
        findings->full_before = 1;
        snprintf(findings->full_words, sizeof findings->full_words,
                 "full: the charge before held %.4g V until its current had died away to %.3g A", tail.held_v,
                 tail.end_a);
        return;
    }
    if (discharge == first) {
        say(findings, NAN, "cannot tell: the charge before the test shows no end at constant volts");
        return;
    }
    double taken = delivery->runs[discharge].charge_ah.value, back = 0;
    for (size_t k = discharge + 1; k <= charge; k++)
        if (delivery->runs[k].kind == RUN_CHARGE)
            back += delivery->runs[k].charge_ah.value;
    if (back < taken - delivery->runs[discharge].charge_ah.u * 2)
        snprintf(
            findings->full_words, sizeof findings->full_words,
            "not full: the charge before put back %.3g Ah of the %.3g Ah taken, and shows no end at constant volts",
            back, taken);
    else
        snprintf(findings->full_words, sizeof findings->full_words,
                 "cannot tell: the charge before put back %.3g Ah, but shows no end at constant volts", back);
    findings->full_before = back < taken - delivery->runs[discharge].charge_ah.u * 2 ? 0 : NAN;
}
