#include "battery/sight_amount.h"

#include "base/memory.h"
#include "battery/sight_carry.h"
#include "battery/sight_sum.h"
#include "battery/sight_tally.h"
#include "numeric/budget.h"

enum { CHAINS = 16 };

static const char *const type_more = "more lines, closer together";
static const char *const calibrate = "a meter of smaller gain error, or a calibration against one";

static void add(struct measure *measure, enum cause cause, enum shape shape, double u, uint32_t source,
                const char *what, const char *remedy)
{
    measure_part(measure, (struct part){cause, shape, u, INFINITY, source, what, remedy});
}

static void add_bound(struct measure *measure, enum cause cause, double half, uint32_t source, const char *what,
                      const char *remedy)
{
    add(measure, cause, SHAPE_RECTANGULAR, half / sqrt(3), source, what, remedy);
}

/* The finest digit in which a channel was plainly typed. */
static double digit_of(const struct course *course, enum channel channel)
{
    double digit = INFINITY;
    for (size_t k = 0; k < course->node_count; k++) {
        const struct seen *seen = &course_node(course, k)->of[channel];
        if (is_seen(seen) && seen->digit > 0)
            digit = fmin(digit, seen->digit);
    }
    return isfinite(digit) ? digit : 0;
}

static bool amps_from_watts(const struct course *course)
{
    for (size_t k = 0; k < course->node_count; k++)
        if (!isnan(course_node(course, k)->of[CHANNEL_CURRENT].lo))
            return false;
    return true;
}

/* Gain and offset of whatever gave the amps; `value` and `hours` in the measure's unit and that per amp. */
static void add_current(const struct course *course, double value, double per_amp, struct measure *measure)
{
    const struct rig *rig = course->rig;
    bool watts = amps_from_watts(course);
    enum channel channel = watts ? CHANNEL_POWER : CHANNEL_CURRENT;
    const struct accuracy *own = &rig->of[channel];
    double offset = accuracy_offset(own, digit_of(course, channel));
    add_bound(measure, watts ? CAUSE_GAIN_OTHER : CAUSE_GAIN_CURRENT, value * own->gain,
              rig_source(rig, channel, ERROR_GAIN), watts ? "gain of the power channel" : "gain of the current channel",
              calibrate);
    add_bound(measure, CAUSE_GAIN_CURRENT, value * own->shunt_gain, rig_source(rig, channel, ERROR_SHUNT),
              "the shunt or current sensor", "a shunt of a better class");
    add_bound(measure, watts ? CAUSE_OFFSET_OTHER : CAUSE_OFFSET_CURRENT, per_amp * offset,
              rig_source(rig, channel, ERROR_OFFSET),
              watts ? "offset of the power channel" : "offset of the current channel",
              "a reading with nothing connected, taken before and after");
}

static void add_voltage(const struct course *course, double value, double per_volt, struct measure *measure)
{
    const struct rig *rig = course->rig;
    const struct accuracy *own = &rig->of[CHANNEL_VOLTAGE];
    add_bound(measure, CAUSE_GAIN_VOLTAGE, value * own->gain, rig_source(rig, CHANNEL_VOLTAGE, ERROR_GAIN),
              "gain of the voltage channel", calibrate);
    add_bound(measure, CAUSE_OFFSET_VOLTAGE, per_volt * accuracy_offset(own, digit_of(course, CHANNEL_VOLTAGE)),
              rig_source(rig, CHANNEL_VOLTAGE, ERROR_OFFSET), "offset of the voltage channel",
              "a reading with nothing connected, taken before and after");
}

static void add_clock(const struct course *course, double value, struct measure *measure)
{
    add_bound(measure, CAUSE_CLOCK, value * course->rig->clock,
              rig_source(course->rig, CHANNEL_VOLTAGE, ERROR_CLOCK), "the clock", "a better clock");
}

/* A change that nobody saw has often just happened when the next reading is taken, or follows close on
 * the one before: the ends of what is possible are likelier than its middle. */
static void add_unseen(const struct widths *widths, double factor, struct measure *measure)
{
    static const char *const what = "a change of load that nobody saw", *const remedy = "a line just after each change";
    for (int k = 0; k < 2; k++)
        add(measure, CAUSE_STEP_INSTANTS, SHAPE_ARCSINE, factor * widths->widest[k] / sqrt(2), 0, what, remedy);
    add(measure, CAUSE_STEP_INSTANTS, SHAPE_NORMAL, factor * sqrt(1.5 * widths->rest_u2), 0, what, remedy);
}

/* What the legs leave open. */
static void add_open(const struct course *course, const struct sight_sum *sum, bool energy, struct measure *measure)
{
    double level = sqrt(energy ? sum->level_j2 : sum->level_c2) / 3600;
    double wander = sqrt(energy ? sum->wander_j2 : sum->wander_c2) / 3600, law;
    sum_middle(course, energy ? sum->energy_j : sum->charge_c, &law);
    add(measure, CAUSE_RESOLUTION, SHAPE_NORMAL, level, 0, "what the words left open of the load",
        "more readings of the current, plainly read");
    add(measure, CAUSE_LOAD_LAW, SHAPE_NORMAL, wander, 0, "the load's own wander from reading to reading", type_more);
    add_bound(measure, CAUSE_LOAD_LAW, law / 3600, 0, "the load law, which the readings do not single out",
              "the law, stated: constant power, current or resistance");
    widths_part(energy ? &sum->gap_j : &sum->gap_c, CAUSE_GAP, 1 / 3600.0, "the volts between the readings",
                "more lines where the volts fall fast", measure);
    widths_part(energy ? &sum->step_j : &sum->step_c, CAUSE_STEP_INSTANTS, 1 / 3600.0,
                "when exactly the load changed", "a line just before and after each change", measure);
    add_unseen(energy ? &sum->unseen_j : &sum->unseen_c, 1 / 3600.0, measure);
}

static void add_leads(const struct course *course, const struct sight_sum *sum, struct measure *wh)
{
    const struct rig *rig = course->rig;
    if (rig->sense_leads)
        return;
    double square = sum->square_a2s / 3600;
    wh->value += rig->lead_ohm * square;
    add_bound(wh, CAUSE_LEADS, rig->lead_halfwidth_ohm * square, rig_source(rig, CHANNEL_VOLTAGE, ERROR_LEADS),
              "leads between meter and terminals", "sense leads to the terminals");
}

/* Open: charge or energy by the load law over what is not left out. */
static struct measure by_law(const struct course *course, const struct sight_sum *sum, bool energy)
{
    if (sum->unknown != NULL)
        return measure_unknown("%s", sum->unknown);
    double law, value = sum_middle(course, energy ? sum->energy_j : sum->charge_c, &law) / 3600;
    if (isnan(value))
        return measure_unknown("no volts were read while the load stood");
    struct measure measure = measure_of(value);
    double mean_v = sum->duration_s > 0 ? sum->volt_s / sum->duration_s : 0;
    bool watts = amps_from_watts(course);
    double per_amp = (energy ? sum->volt_s : sum->duration_s) / 3600;
    if (watts) /* the offset is one of watts */
        per_amp = energy ? sum->duration_s / 3600 : mean_v > 0 ? sum->duration_s / mean_v / 3600 : 0;
    add_current(course, value, per_amp, &measure);
    if (energy && !watts)
        add_voltage(course, value, sum->duration_s > 0 ? sum_middle(course, sum->charge_c, &law) / 3600 : 0, &measure);
    add_open(course, sum, energy, &measure);
    add_clock(course, value, &measure);
    return measure;
}

/* Hours over which the tally of the legs that are `in` counted. */
static double hours_of(const struct course *course, size_t first, size_t end, const bool *in, double *ret_volt_h)
{
    double hours = 0, volt_h = 0;
    for (size_t k = first; k < end; k++) {
        const struct leg *leg = &course->leg[k];
        if (!in[k])
            continue;
        hours += leg->duration_s / 3600;
        volt_h += isnan(leg->v_lo) ? 0 : (leg->v_lo + leg->v_hi) / 2 * leg->duration_s / 3600;
    }
    *ret_volt_h = volt_h;
    return hours;
}

struct tallied {
    struct chain chain[CHAINS];
    size_t count;
    bool *in; /* legs that lie within a chain; of all the course's legs */
};

static void add_digits(const struct tallied *tallied, double factor, struct measure *measure)
{
    for (size_t k = 0; k < tallied->count; k++) {
        const struct chain *chain = &tallied->chain[k];
        enum cause cause = chain->hedged ? CAUSE_HEDGE : CAUSE_RESOLUTION;
        add_bound(measure, cause, factor * chain->from_half, 0, "the tally as it was read at first", "");
        add_bound(measure, cause, factor * chain->to_half, 0, "the tally as it was read at last",
                  "a tally with one more digit, plainly read");
    }
}

/* Open: what the tally gained. Its slope is that of the meter whose amps (and volts) it counts. */
static struct measure tally_gain(const struct course *course, const struct tallied *tallied, enum channel tally,
                                 size_t first, size_t end)
{
    const struct rig *rig = course->rig;
    bool energy = tally == CHANNEL_ENERGY_TALLY;
    double value = 0, volt_h, hours = hours_of(course, first, end, tallied->in, &volt_h);
    for (size_t k = 0; k < tallied->count; k++)
        value += tallied->chain[k].gain;
    struct measure measure = measure_of(value);
    const struct accuracy *own = &rig->of[tally];
    double gain = own->gain;
    if (rig->tally_shares_meter) {
        add_current(course, value, energy ? volt_h : hours, &measure);
        gain -= rig->of[CHANNEL_CURRENT].gain + rig->of[CHANNEL_CURRENT].shunt_gain;
        if (energy) {
            add_voltage(course, value, volt_h > 0 ? value * hours / volt_h : 0, &measure);
            gain -= rig->of[CHANNEL_VOLTAGE].gain;
        }
    }
    add_bound(&measure, CAUSE_GAIN_OTHER, fmax(0, gain) * value, rig_source(rig, tally, ERROR_GAIN),
              "gain of the tally", calibrate);
    add_bound(&measure, CAUSE_OFFSET_OTHER, own->offset, rig_source(rig, tally, ERROR_OFFSET), "offset of the tally", "");
    add_clock(course, value, &measure);
    add_digits(tallied, 1, &measure);
    return measure;
}

static void find_tallied(const struct course *course, enum channel tally, size_t first, size_t end,
                         struct tallied *ret)
{
    ret->count = sight_chains(course, tally, first, end, ret->chain, CHAINS);
    for (size_t k = 0; k < ret->count; k++)
        for (size_t leg = course->position[ret->chain[k].from]; leg < course->position[ret->chain[k].to]; leg++)
            ret->in[leg] = true;
}

/* Closed: the tally along its chains and the law outside them. */
static struct measure by_tally(const struct course *course, const struct tallied *tallied, enum channel tally,
                               size_t first, size_t end, const struct sight_sum *all)
{
    bool energy = tally == CHANNEL_ENERGY_TALLY;
    if (tallied->count == 0)
        return measure_unknown("no two readings of the %s stand together", channel_name(tally));
    struct measure gain = tally_gain(course, tallied, tally, first, end);
    struct sight_sum outside = sight_sum(course, first, end, tallied->in);
    struct measure rest = by_law(course, &outside, energy);
    struct measure whole = measure_sum(&gain, 1, &rest, 1);
    if (energy && measure_known(&whole)) {
        add_leads(course, all, &whole);
    }
    budget_close(&whole);
    return whole;
}

/* What volts the charge of each leg had. */
struct charged {
    double charge_c, v, v_half;
};

/* Legs first…end - 1 lie between two readings of the charge tally: their charge adds up to `gain_c`. Where
 * several of them have no clock, how far each reached is not known, and together they are one. */
static void take_gain(const struct course *course, size_t x, size_t y, double gain_c, struct charged *legs)
{
    size_t first = course->position[x], end = course->position[y], untimed = 0, some = first;
    double sum = 0, open_c = 0, lo = INFINITY, hi = -INFINITY;
    for (size_t k = first; k < end; k++)
        sum += legs[k].charge_c;
    for (size_t k = first; k < end; k++) {
        const struct leg *leg = &course->leg[k];
        legs[k].charge_c *= sum > 0 ? gain_c / sum : 0;
        if (leg->timed)
            continue;
        untimed++;
        some = k;
        open_c += legs[k].charge_c;
        lo = fmin(lo, leg->v_lo);
        hi = fmax(hi, leg->v_hi);
    }
    if (untimed < 2)
        return;
    if (course->phase_of[x] == course->phase_of[y] && untimed == end - first) {
        struct leg whole = sight_leg_between(course, x, y);
        lo = whole.v_lo, hi = whole.v_hi;
    }
    for (size_t k = first; k < end; k++)
        if (!course->leg[k].timed)
            legs[k].charge_c = 0;
    legs[some] = (struct charged){open_c, (lo + hi) / 2, (hi - lo) / 2};
}

static void take_chain(const struct course *course, const struct chain *chain, struct charged *legs)
{
    size_t last = chain->from;
    for (size_t k = last + 1; k <= chain->to; k++) {
        const struct seen *seen = &course_node(course, k)->of[CHANNEL_CHARGE_TALLY];
        if (!is_seen(seen))
            continue;
        double before = course_node(course, last)->of[CHANNEL_CHARGE_TALLY].value;
        take_gain(course, last, k, fabs(seen->value - before) * 3600, legs);
        last = k;
    }
}

/* Standard uncertainty, V, of weights that are not quite known. */
static double weights_u(const struct course *course, const struct charged *legs, size_t first, size_t end, double mean_v,
                        double total_c)
{
    double u2 = 0;
    for (size_t k = first; k < end; k++) {
        const struct leg *leg = &course->leg[k];
        const struct level *level = &course->load[course->class_of[leg->phase]].level[0];
        double off = (legs[k].v - mean_v) / total_c;
        u2 += pow(off * legs[k].charge_c, 2) * (level->u * level->u + level->wander * level->wander);
        u2 += pow(off * leg->amps[0] * leg->open_s, 2) / 2;
    }
    return sqrt(u2);
}

/* Closed: the volts of the legs weighted with their charge, by the charge tally where there is one, else by
 * the load law. */
static struct measure volts_by_charge(const struct course *course, const struct tallied *tallied, size_t first,
                                      size_t end)
{
    struct charged *legs = memory_get((end + 1) * sizeof *legs);
    struct widths gap = {{0, 0}, 0};
    double energy = 0, total = 0, half;
    for (size_t k = first; k < end; k++) {
        const struct leg *leg = &course->leg[k];
        legs[k] = (struct charged){sum_middle(course, leg->amps, &half) * leg->duration_s, (leg->v_lo + leg->v_hi) / 2,
                                   (leg->v_hi - leg->v_lo) / 2};
        total += leg->bounded ? 0 : NAN;
    }
    for (size_t k = 0; k < tallied->count; k++)
        take_chain(course, &tallied->chain[k], legs);
    for (size_t k = first; k < end; k++) {
        energy += legs[k].v * legs[k].charge_c;
        total += legs[k].charge_c;
        widths_add(&gap, legs[k].v_half * legs[k].charge_c);
    }
    struct measure v = isnan(total) ? measure_unknown("nothing tells how long a stretch between two readings lasted")
                       : total > 0 && !isnan(energy)
                           ? measure_of(energy / total)
                           : measure_unknown("no volts were read while the load stood");
    if (measure_known(&v)) {
        add_voltage(course, v.value, 1, &v);
        widths_part(&gap, CAUSE_GAP, 1 / total, "the volts between the readings", "more lines where the volts fall fast",
                    &v);
        add(&v, CAUSE_LOAD_LAW, SHAPE_NORMAL, weights_u(course, legs, first, end, v.value, total), 0,
            "the charge between the readings", type_more);
        budget_close(&v);
    }
    free(legs);
    return v;
}

/* Closed: those volts times the charge by the charge tally. */
static struct measure by_volts(const struct course *course, const struct measure *ah, const struct measure *volts,
                               const struct sight_sum *all)
{
    if (!measure_known(ah) || !measure_known(volts))
        return measure_known(ah) ? *volts : *ah;
    struct measure wh = measure_sum(ah, volts->value, volts, ah->value);
    wh.value = ah->value * volts->value;
    add_leads(course, all, &wh);
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
        add(s, CAUSE_GAP, SHAPE_ARCSINE, leg->open_s / sqrt(2), 0, "time not seen, from the volts on their way to empty",
            "a time beside each line");
        if (leg->timed || leg->open_s > 0)
            continue;
        const struct level *level = &course->load[course->class_of[leg->phase]].level[0];
        seconds += leg->duration_s;
        level2 += pow(leg->duration_s, 2) * (level->u * level->u + level->wander * level->wander);
        widths_add(&gap, leg->split_s);
    }
    widths_part(&gap, CAUSE_GAP, 1, "time not seen, from charge and amps", "a time beside each line", s);
    add(s, CAUSE_RESOLUTION, SHAPE_NORMAL, sqrt(level2), 0, "the amps that the time is told from", "");
    if (!course->rig->tally_shares_meter)
        add_current(course, seconds, 0, s);
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
            add(&s, CAUSE_STEP_INSTANTS, change->told ? SHAPE_RECTANGULAR : SHAPE_ARCSINE,
                change->half_s / sqrt(change->told ? 3 : 2), 0, begins ? "when it began" : "when it ended",
                "a line just before and after");
    }
    add_untimed(course, first, end, &s);
    add_clock(course, seconds, &s);
    budget_close(&s);
    return s;
}

static struct measure nothing(void)
{
    struct measure none = measure_of(0);
    budget_close(&none);
    return none;
}

void sight_amounts(const struct course *course, size_t first, size_t end, struct sight_amounts *ret)
{
    if (first >= end) {
        struct measure none = nothing(), no = measure_unknown("nothing flowed");
        *ret = (struct sight_amounts){none, none, none, none, no, no, no, none, 0};
        return;
    }
    bool *in = memory_get((course->leg_count + 1) * sizeof *in);
    bool *in_wh = memory_get((course->leg_count + 1) * sizeof *in_wh);
    struct tallied charge = {.in = in}, energy = {.in = in_wh};
    find_tallied(course, CHANNEL_CHARGE_TALLY, first, end, &charge);
    find_tallied(course, CHANNEL_ENERGY_TALLY, first, end, &energy);
    struct sight_sum sum = sight_sum(course, first, end, NULL);
    ret->integral_ah = by_law(course, &sum, false);
    ret->integral_wh = by_law(course, &sum, true);
    if (measure_known(&ret->integral_wh))
        add_leads(course, &sum, &ret->integral_wh);
    budget_close(&ret->integral_ah);
    budget_close(&ret->integral_wh);
    ret->tally_ah = by_tally(course, &charge, CHANNEL_CHARGE_TALLY, first, end, &sum);
    ret->tally_wh = by_tally(course, &energy, CHANNEL_ENERGY_TALLY, first, end, &sum);
    struct measure volts = volts_by_charge(course, &charge, first, end);
    struct measure by_charge = by_volts(course, &ret->tally_ah, &volts, &sum);
    struct measure ratio = volts_by_ratio(&ret->tally_ah, &ret->tally_wh);
    ret->charge_ah = *closer(&ret->tally_ah, &ret->integral_ah);
    ret->energy_wh = *closer(closer(&ret->tally_wh, &ret->integral_wh), &by_charge);
    ret->mean_v = *closer(&volts, &ratio);
    ret->duration_s = duration_of(course, first, end);
    free(in);
    free(in_wh);
}
