/* Currents and loads held. */
#include "claims/rules.h"

#include "base/number.h"
#include "base/text.h"
#include "claims/conformity.h"

#include <stdint.h>

/* Far from empty above this mean per cell of lithium iron phosphate; more than the base from this ratio on:
 * common practice, no source. */
static const double full_cell_v = 3.0, burst_ratio = 1.2;

/* A stretch at one level, as a measure of that level and how long it was held. */
struct held {
    struct measure level;
    double duration_s;
    size_t record;
    bool charging;   /* a charge that the board stops is full, or too cold or hot, of what current ever */
    bool tripped;    /* the BMS opened in it while the cells were far from empty */
    bool clip;       /* … or a clip slipped off, which would look the same */
    double end_v;
};

/* The rig's gain on a level within a run; noise and sampling average out over a phase. */
static struct measure level_of(const struct run *run, double mean, bool power)
{
    const struct measure *whole = power ? &run->energy_wh : &run->charge_ah;
    if (measure_known(whole) && whole->value > 0) {
        struct measure level = measure_scale(whole, mean / whole->value);
        level.u = whole->u * mean / whole->value;
        level.dof = whole->dof;
        level.lo = mean + (whole->lo - whole->value) * mean / whole->value;
        level.hi = mean + (whole->hi - whole->value) * mean / whole->value;
        return level;
    }
    return measure_unknown("the run's %s is not known", power ? "energy" : "charge");
}

/* Volts that were read away from the sample fall for a clip that slipped off as for a board that opened, unless that let the
 * current on again, or came again. */
static bool may_be_a_clip(const struct evidence *evidence, size_t record, size_t run)
{
    size_t stops = 0;
    bool released = false;
    for (size_t r = 0; r < evidence->count; r++) {
        const struct findings *f = &evidence->findings[r];
        for (size_t k = 0; k < f->trip_count; k++) {
            const struct trip *trip = &f->trips[k];
            stops += !trip->charging && trip->way != TRIP_LOW;
            released |= r == record && trip->run == run && isfinite(trip->released_s);
        }
    }
    return !evidence->rig->sense_leads && stops < 2 && !released;
}

static struct held look_at(const struct evidence *evidence, size_t record, const struct phase *phase, bool power)
{
    const struct findings *f = &evidence->findings[record];
    const struct run *run = &f->runs[phase->run];
    struct held held = {
        .level = level_of(run, fabs(phase->mean_a) * (power ? phase->mean_v : 1), power),
        .duration_s = phase->end_s - phase->start_s,
        .record = record,
        .end_v = phase->end_v,
        .charging = run->kind == RUN_CHARGE,
    };
    bool last = phase == &f->phases[run->first_phase + run->phases - 1];
    const struct label *label = evidence->label;
    bool full = run->ended.by == ENDED_BMS && label->lithium_iron_phosphate && label->cells > 0 &&
                phase->end_v / label->cells > full_cell_v;
    held.tripped = last && run->kind == RUN_DISCHARGE && (full || rule_tripped(f, run, label));
    held.clip = held.tripped && may_be_a_clip(evidence, record, phase->run);
    return held;
}

bool rule_tripped(const struct findings *findings, const struct run *run, const struct label *label)
{
    if (run->ended.by != ENDED_BMS || run->phases == 0)
        return false;
    const struct phase *end = &findings->phases[run->first_phase + run->phases - 1], *base = end - 1;
    bool known = label->lithium_iron_phosphate;
    int cells = label->cells;
    if (known ? run->ended.end_cell_v > full_cell_v : !run->ended.low)
        return end->mean_a > burst_ratio * findings->test_mean_a;
    return known && run->phases > 1 && cells > 0 && end->mean_a > burst_ratio * base->mean_a &&
           end->end_s - end->start_s < base->end_s - base->start_s && base->end_v / cells > full_cell_v;
}

static bool is_longer(const struct held *a, const struct held *b)
{
    return a->duration_s > b->duration_s;
}

/* Among the phases of `kind` at or above the level the longest, else the highest. */
static struct held find_held(const struct evidence *evidence, enum run_kind kind, bool power, double level)
{
    struct held best = {.level = measure_unknown("no %s in the readings", run_kind_name(kind)), .record = SIZE_MAX};
    bool best_reaches = false;
    for (size_t r = 0; r < evidence->count; r++) {
        const struct findings *f = &evidence->findings[r];
        for (size_t k = 0; k < f->phase_count; k++) {
            if (f->phases[k].kind != kind)
                continue;
            struct held held = look_at(evidence, r, &f->phases[k], power);
            if (!measure_known(&held.level))
                continue;
            bool reaches = conformity_at_least(&held.level, level) >= evidence->decide;
            bool better = best.record == SIZE_MAX || (reaches && !best_reaches) ||
                          (reaches == best_reaches && (reaches ? is_longer(&held, &best)
                                                               : held.level.value > best.level.value));
            if (better)
                best = held, best_reaches = reaches;
        }
    }
    return best;
}

/* A current that a single reading shows is how far the test got, though not how long. */
static void take_peak(const struct evidence *evidence, struct held *held)
{
    for (size_t r = 0; r < evidence->count; r++) {
        const struct findings *f = &evidence->findings[r];
        for (size_t k = 0; k < f->run_count; k++) {
            const struct run *run = &f->runs[k];
            struct measure level = level_of(run, run->peak_a, false);
            if (run->kind == RUN_DISCHARGE && level.value > burst_ratio * held->level.value)
                *held = (struct held){.level = level, .record = r, .end_v = NAN};
        }
    }
}

static void say_held(const struct held *held, const char *symbol, struct decision *decision)
{
    char level[48], time[32];
    measure_print(&held->level, symbol, level, sizeof level);
    number_print_duration(held->duration_s, time, sizeof time);
    if (held->duration_s > 0)
        snprintf(decision->found, sizeof decision->found, "%s for %s", level, time);
    else
        snprintf(decision->found, sizeof decision->found, "%s in one reading", level);
    decision->measured = held->level;
    decision->record = held->record;
    decision->reached = held->level.value;
}

static bool whole_test_at(const struct evidence *evidence, const struct held *held)
{
    const struct findings *f = &evidence->findings[held->record];
    if (held->charging || held->tripped || !f->has_test || f->beginning_unseen || f->runs[f->test_last_run].ended.by != ENDED_BMS)
        return false;
    return held->duration_s >= 0.95 * (f->test_end_s - f->test_start_s);
}

/* It opened at a current that is less than the claimed one, for all that the meter can tell, or too near to it. */
static void hold_tripped(const struct evidence *evidence, const struct held *held, double p, struct decision *decision)
{
    bool less = p <= 1 - evidence->decide;
    decision->verdict = less && !held->clip ? VERDICT_NOT_MET : VERDICT_TOO_CLOSE;
    decision->probability = p;
    snprintf(decision->reason, sizeof decision->reason, "the BMS opened at that current with %.2f V at the terminals: it was not empty%s",
             held->end_v,
             held->clip ? "; volts read at the load would show the same of a clip that slipped off"
             : less     ? ""
                        : "; whether it was the claimed current the meter cannot tell");
    if (held->clip)
        snprintf(decision->would_decide, sizeof decision->would_decide,
                 "volts read at the sample's own terminals, or the stop seen twice");
    else if (!less)
        snprintf(decision->would_decide, sizeof decision->would_decide, "a discharge a little below the claimed current");
}

/* `draw` says what would have to be made: "a load of", "a charge at". */
static void hold_level(const struct evidence *evidence, const struct claim *claim, const struct held *held,
                       const char *draw, double needed_s, const char *needed_words, struct decision *decision)
{
    const char *symbol = quantity_symbol(claim->quantity);
    if (held->record == SIZE_MAX) {
        snprintf(decision->reason, sizeof decision->reason, "%s", held->level.why);
        return;
    }
    say_held(held, symbol, decision);
    double p = conformity_at_least(&held->level, claim->stated);
    decision->verdict = VERDICT_NOT_EXERCISED;
    if (held->tripped && p < evidence->decide) {
        hold_tripped(evidence, held, p, decision);
    } else if (p >= evidence->decide && held->duration_s > 0 &&
               (held->duration_s >= needed_s || whole_test_at(evidence, held))) {
        decision->verdict = VERDICT_MET;
        decision->probability = p;
        snprintf(decision->reason, sizeof decision->reason, "%s",
                 held->duration_s >= needed_s ? "held for as long as stated" : "held for the whole discharge, until the BMS opened");
    } else if (p >= evidence->decide) {
        snprintf(decision->reason, sizeof decision->reason, "the %s was reached but not held for %s%s", quantity_name(claim->quantity),
                 needed_words, held->tripped ? ": the BMS opened before, and not for an empty sample" : "");
        snprintf(decision->would_decide, sizeof decision->would_decide, "a %s that holds %.4g %s for %s",
                 held->charging ? "charge" : "discharge", claim->stated, symbol, needed_words);
    } else {
        double share = held->level.value / claim->stated;
        snprintf(decision->reason, sizeof decision->reason, "reached %.0f %% of the claim%s", 100 * share,
                 share >= 1 ? ", which the meter cannot tell from less" : "");
        snprintf(decision->would_decide, sizeof decision->would_decide, "%s %.4g %s or more for %s", draw,
                 claim->stated + (share >= 1 ? 0.5 * (held->level.hi - held->level.lo) : 0), symbol, needed_words);
    }
}

void rule_continuous_current(const struct evidence *evidence, const struct claim *claim, struct decision *decision)
{
    struct held held = find_held(evidence, RUN_DISCHARGE, false, claim->stated);
    double needed_s = isfinite(claim->duration_s) ? claim->duration_s : INFINITY;
    hold_level(evidence, claim, &held, "a load of", needed_s, "a whole discharge or to a steady temperature", decision);
}

void rule_peak_current(const struct evidence *evidence, const struct claim *claim, struct decision *decision)
{
    struct held held = find_held(evidence, RUN_DISCHARGE, false, claim->stated);
    if (!(held.level.value >= claim->stated) && !held.tripped)
        take_peak(evidence, &held);
    char words[64] = "any stated time";
    double needed_s = isnan(claim->duration_s) ? 0 : claim->duration_s;
    if (needed_s > 0)
        number_print_duration(needed_s, words, sizeof words);
    hold_level(evidence, claim, &held, "a load of", needed_s, words, decision);
    if (decision->verdict == VERDICT_MET && isnan(claim->duration_s))
        snprintf(decision->reason, sizeof decision->reason, "the label states no duration; this is how long it was held");
}

void rule_suits_load(const struct evidence *evidence, const struct claim *claim, struct decision *decision)
{
    bool power = claim->quantity == QUANTITY_POWER;
    struct held held = find_held(evidence, RUN_DISCHARGE, power, claim->stated);
    double needed_s = isfinite(claim->duration_s) ? claim->duration_s : INFINITY;
    hold_level(evidence, claim, &held, "a load of", needed_s, "a whole discharge", decision);
}

void rule_charge_current(const struct evidence *evidence, const struct claim *claim, struct decision *decision)
{
    struct held held = find_held(evidence, RUN_CHARGE, false, claim->stated);
    double needed_s = isfinite(claim->duration_s) ? claim->duration_s : 600;
    hold_level(evidence, claim, &held, "a charge at", needed_s, "ten minutes at least", decision);
}
