#include "battery/sight_amount.h"

#include "battery/sight_meter.h"
#include "battery/sight_sum.h"
#include "battery/sight_tally.h"
#include "battery/sight_volts.h"
#include "numeric/budget.h"

/* A change that nobody saw has often just happened when the next reading is taken, or follows close on
 * the one before: the ends of what is possible are likelier than its middle. */
static void add_unseen(const struct widths *widths, double factor, struct measure *measure)
{
    static const char *const what = "a change of load that nobody saw", *const remedy = "a line just after each change";
    for (int k = 0; k < 2; k++)
        sight_part(measure, CAUSE_STEP_INSTANTS, SHAPE_ARCSINE, factor * widths->widest[k] / sqrt(2), what, remedy);
    sight_part(measure, CAUSE_STEP_INSTANTS, SHAPE_NORMAL, factor * sqrt(1.5 * widths->rest_u2), what, remedy);
}

/* What the legs leave open. */
static void add_open(const struct course *course, const struct sight_sum *sum, bool energy, struct measure *measure)
{
    double level = sqrt(energy ? sum->level_j2 : sum->level_c2) / 3600;
    double wander = sqrt(energy ? sum->wander_j2 : sum->wander_c2) / 3600, law;
    sum_middle(course, energy ? sum->energy_j : sum->charge_c, &law);
    sight_part(measure, CAUSE_RESOLUTION, SHAPE_NORMAL, level, "what the words left open of the load",
               "more readings of the current, plainly read");
    sight_part(measure, CAUSE_LOAD_LAW, SHAPE_NORMAL, wander, "the load's own wander from reading to reading",
               "more lines, closer together");
    sight_bound(measure, CAUSE_LOAD_LAW, law / 3600, 0, "the load law, which the readings do not single out",
                "the law, stated: constant power, current or resistance");
    widths_part(energy ? &sum->gap_j : &sum->gap_c, CAUSE_GAP, 1 / 3600.0, "the volts between the readings",
                "more lines where the volts fall fast", measure);
    widths_part(energy ? &sum->step_j : &sum->step_c, CAUSE_STEP_INSTANTS, 1 / 3600.0,
                "when exactly the load changed", "a line just before and after each change", measure);
    add_unseen(energy ? &sum->unseen_j : &sum->unseen_c, 1 / 3600.0, measure);
}

/* Open: charge or energy by the load law over what is not left out. */
static struct measure by_law(const struct course *course, const struct sight_sum *sum, bool energy)
{
    if (sum->unknown != NULL)
        return measure_unknown("%s", sum->unknown);
    double law, charge = sum_middle(course, sum->charge_c, &law) / 3600;
    double value = energy ? sum_middle(course, sum->energy_j, &law) / 3600 : charge;
    if (isnan(value))
        return measure_unknown("no volts were read while the load stood");
    struct measure measure = measure_of(value);
    bool watts = sight_from_watts(course);
    double per_unit = (energy ? sum->volt_s : sum->duration_s) / 3600;
    if (watts) /* the offset is one of watts */
        per_unit = energy                ? sum->duration_s / 3600
                   : sum->volt_s > 0     ? pow(sum->duration_s, 2) / sum->volt_s / 3600
                                         : 0;
    sight_add_current(course, value, per_unit, &measure);
    if (energy && !watts)
        sight_add_voltage(course, value, charge, &measure);
    add_open(course, sum, energy, &measure);
    sight_add_clock(course, value, &measure);
    return measure;
}

/* What leads and ripple make of an energy, over all legs. A tally may have multiplied at once or from means:
 * ripple is taken off by half, and the other half left open. */
static void correct_energy(const struct course *course, const struct sight_sum *all, bool tally, struct measure *wh)
{
    if (!measure_known(wh))
        return;
    sight_add_leads(course, all->square_a2s / 3600, wh);
    const struct ripple *ripple = &course->ripple;
    double loss = ripple->ohm * all->discharge_a2s / 3600, sure = loss * ripple->square_lo;
    wh->value -= tally ? sure / 2 : sure;
    sight_bound(wh, CAUSE_RIPPLE, loss * (ripple->square_hi - ripple->square_lo), 0, "the load's ripple, unknown",
                "the ripple, measured, or a meter that multiplies at once");
    sight_bound(wh, CAUSE_RIPPLE, tally ? sure / 2 : 0, 0, "whether the tally multiplied at once", "");
    sight_part(wh, CAUSE_RIPPLE, SHAPE_NORMAL, ripple->ohm_u * all->discharge_a2s / 3600 * ripple->square_lo,
               "the resistance that ripple meets", "");
}

/* Hours, and volts times hours, of the legs within chains. */
static double hours_of(const struct course *course, size_t first, size_t end, const bool *in, double *ret_volt_h)
{
    double hours = 0;
    *ret_volt_h = 0;
    for (size_t k = first; k < end; k++) {
        const struct leg *leg = &course->leg[k];
        if (!in[k])
            continue;
        hours += leg->duration_s / 3600;
        *ret_volt_h += isnan(leg->v_lo) ? 0 : (leg->v_lo + leg->v_hi) / 2 * leg->duration_s / 3600;
    }
    return hours;
}

static void add_digits(const struct chains *chains, struct measure *measure)
{
    for (size_t k = 0; k < chains->count; k++) {
        const struct chain *chain = &chains->chain[k];
        enum cause cause = chain->hedged ? CAUSE_HEDGE : CAUSE_RESOLUTION;
        sight_bound(measure, cause, chain->from_half, 0, "the tally as it was read", "");
        sight_bound(measure, cause, chain->to_half, 0, "the tally as it was read",
                    "a tally with one more digit, plainly read");
    }
}

/* Open: what the tally gained. Its slope is that of the meter whose amps (and volts) it counts. */
static struct measure tally_gain(const struct course *course, const struct chains *chains, enum channel tally,
                                 size_t first, size_t end)
{
    const struct rig *rig = course->rig;
    bool energy = tally == CHANNEL_ENERGY_TALLY, shares = rig->tally_shares_meter && !sight_from_watts(course);
    double value = 0, volt_h, hours = hours_of(course, first, end, chains->in, &volt_h);
    for (size_t k = 0; k < chains->count; k++)
        value += chains->chain[k].gain;
    struct measure measure = measure_of(value);
    const struct accuracy *own = &rig->of[tally];
    double gain = own->gain;
    if (shares) {
        sight_add_current(course, value, energy ? volt_h : hours, &measure);
        gain -= rig->of[CHANNEL_CURRENT].gain + rig->of[CHANNEL_CURRENT].shunt_gain;
    }
    if (shares && energy) {
        sight_add_voltage(course, value, volt_h > 0 ? value * hours / volt_h : 0, &measure);
        gain -= rig->of[CHANNEL_VOLTAGE].gain;
    }
    sight_bound(&measure, CAUSE_GAIN_OTHER, fmax(0, gain) * value, rig_source(rig, tally, ERROR_GAIN),
                "gain of the tally", "a tally checked against a better one");
    sight_bound(&measure, CAUSE_OFFSET_OTHER, own->offset, rig_source(rig, tally, ERROR_OFFSET), "offset of the tally",
                "");
    sight_add_clock(course, value, &measure);
    add_digits(chains, &measure);
    return measure;
}

/* Closed: the tally along its chains and the law outside them. */
static struct measure by_tally(const struct course *course, const struct chains *chains, enum channel tally,
                               size_t first, size_t end, const struct sight_sum *all)
{
    if (chains->count == 0)
        return measure_unknown("no two readings of the %s stand together", channel_name(tally));
    struct measure gain = tally_gain(course, chains, tally, first, end);
    struct sight_sum outside = sight_sum(course, first, end, chains->in);
    struct measure rest = by_law(course, &outside, tally == CHANNEL_ENERGY_TALLY);
    struct measure whole = measure_sum(&gain, 1, &rest, 1);
    if (tally == CHANNEL_ENERGY_TALLY)
        correct_energy(course, all, true, &whole);
    budget_close(&whole);
    return whole;
}

/* Closed: the mean volts times the charge by the charge tally. */
static struct measure by_volts(const struct course *course, const struct measure *ah, const struct measure *volts,
                               const struct sight_sum *all)
{
    if (!measure_known(ah) || !measure_known(volts))
        return measure_known(ah) ? *volts : *ah;
    struct measure wh = measure_sum(ah, volts->value, volts, ah->value);
    wh.value = ah->value * volts->value;
    correct_energy(course, all, false, &wh);
    budget_close(&wh);
    return wh;
}

static const struct measure *closer(const struct measure *a, const struct measure *b)
{
    if (!measure_known(a) || !measure_known(b))
        return measure_known(a) ? a : b;
    return a->u <= b->u ? a : b;
}

/* Energy over charge; what both share cancels. Good where two tallies counted both. */
static struct measure volts_by_ratio(const struct measure *q, const struct measure *e)
{
    if (!measure_known(q) || !measure_known(e))
        return measure_known(q) ? *e : *q;
    if (!(q->value > 0))
        return measure_unknown("no charge flowed");
    struct measure v = measure_sum(e, 1 / q->value, q, -e->value / (q->value * q->value));
    v.value = e->value / q->value;
    budget_close(&v);
    return v;
}

/* What flowed in the legs without a clock bounds how long they lasted; the meter's gain cancels where
 * tally and amps share it. */
static void add_untimed(const struct course *course, size_t first, size_t end, struct measure *s)
{
    double seconds = 0, level2 = 0;
    struct widths gap = {{0, 0}, 0};
    for (size_t k = first; k < end; k++) {
        const struct leg *leg = &course->leg[k];
        sight_part(s, CAUSE_GAP, SHAPE_ARCSINE, leg->open_s / sqrt(2), "time not seen, from the volts on their way to empty",
            "a time beside each line");
        if (leg->timed || leg->open_s > 0)
            continue;
        const struct level *level = &course->load[course->class_of[leg->phase]].level[0];
        seconds += leg->duration_s;
        level2 += pow(leg->duration_s, 2) * (level->u * level->u + level->wander * level->wander);
        widths_add(&gap, leg->split_s);
    }
    widths_part(&gap, CAUSE_GAP, 1, "time not seen, from charge and amps", "a time beside each line", s);
    sight_part(s, CAUSE_RESOLUTION, SHAPE_NORMAL, sqrt(level2), "the amps that the time is told from", "");
    if (!course->rig->tally_shares_meter)
        sight_add_current(course, seconds, 0, s);
}

static struct measure duration_of(const struct course *course, size_t first, size_t end)
{
    double seconds = 0;
    struct measure s = measure_of(0);
    for (size_t k = first; k < end; k++) {
        if (!course->leg[k].bounded)
            return measure_unknown("nothing tells how long a stretch between two readings lasted");
        seconds += course->leg[k].duration_s;
    }
    s.value = seconds;
    for (size_t k = 0; k < course->change_count; k++) {
        const struct change *change = &course->change[k];
        bool begins = change->leg_after == (long)first, ends = change->leg_before + 1 == (long)end;
        if (change->timed && (begins || ends))
            sight_part(&s, CAUSE_STEP_INSTANTS, change->told ? SHAPE_RECTANGULAR : SHAPE_ARCSINE,
                       change->half_s / sqrt(change->told ? 3 : 2), begins ? "when it began" : "when it ended",
                "a line just before and after");
    }
    add_untimed(course, first, end, &s);
    sight_add_clock(course, seconds, &s);
    budget_close(&s);
    return s;
}

static struct measure nothing(void)
{
    struct measure none = measure_of(0);
    budget_close(&none);
    return none;
}

/* A tally that was remembered may reach further than one plainly read, and be wider: the closer counts. */
static struct measure best_tally(const struct course *course, enum channel tally, size_t first, size_t end,
                                 const struct sight_sum *all)
{
    struct chains every = sight_chains(course, tally, first, end, false);
    struct chains plain = sight_chains(course, tally, first, end, true);
    struct measure by_every = by_tally(course, &every, tally, first, end, all);
    struct measure by_plain = by_tally(course, &plain, tally, first, end, all);
    chains_free(&every);
    chains_free(&plain);
    return *closer(&by_plain, &by_every);
}

void sight_amounts(const struct course *course, size_t first, size_t end, struct sight_amounts *ret)
{
    if (first >= end) {
        struct measure none = nothing(), no = measure_unknown("nothing flowed");
        *ret = (struct sight_amounts){none, none, none, none, no, no, no, none};
        return;
    }
    struct sight_sum sum = sight_sum(course, first, end, NULL);
    ret->integral_ah = by_law(course, &sum, false);
    ret->integral_wh = by_law(course, &sum, true);
    correct_energy(course, &sum, false, &ret->integral_wh);
    budget_close(&ret->integral_ah);
    budget_close(&ret->integral_wh);
    ret->tally_ah = best_tally(course, CHANNEL_CHARGE_TALLY, first, end, &sum);
    ret->tally_wh = best_tally(course, CHANNEL_ENERGY_TALLY, first, end, &sum);
    struct chains chains = sight_chains(course, CHANNEL_CHARGE_TALLY, first, end, false);
    struct measure volts = sight_volts(course, &chains, first, end);
    chains_free(&chains);
    struct measure by_charge = by_volts(course, &ret->tally_ah, &volts, &sum);
    struct measure ratio = volts_by_ratio(&ret->tally_ah, &ret->tally_wh);
    ret->charge_ah = *closer(&ret->tally_ah, &ret->integral_ah);
    ret->energy_wh = *closer(closer(&ret->tally_wh, &ret->integral_wh), &by_charge);
    ret->mean_v = *closer(&volts, &ratio);
    ret->duration_s = duration_of(course, first, end);
}
