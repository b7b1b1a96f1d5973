#include "battery/sight_capacity.h"

#include "base/memory.h"
#include "battery/capacity.h"
#include "battery/sight_amount.h"
#include "battery/sight_carry.h"
#include "battery/sight_path.h"
#include "numeric/budget.h"

/* Two nodes between which the volts came down to a level. */
struct bracket {
    bool found;
    size_t above, below;
    double lowest_v; /* read outside pulses */
};

static bool counts(const struct course *course, size_t node, size_t first, size_t end)
{
    size_t at = course->position[node], phase = course->phase_of[node];
    const struct phase *of = &course->findings->phases[phase];
    return at >= first && at <= end && of->kind == RUN_DISCHARGE && !of->pulse && course->volts[node].value > 0;
}

/* Whether what had flowed by a node is known: by a clock, or by a tally at the node itself. */
static bool is_counted(const struct course *course, size_t node, size_t first)
{
    if (is_seen(&course_node(course, node)->of[CHANNEL_CHARGE_TALLY]))
        return true;
    for (size_t k = course->position[node]; k-- > first;) {
        const struct leg *leg = &course->leg[k];
        if (!leg->timed)
            return false;
        if (leg->a != NO_NODE && is_seen(&course_node(course, (size_t)leg->a)->of[CHANNEL_CHARGE_TALLY]))
            return true;
    }
    return true;
}

static struct bracket find_bracket(const struct course *course, size_t first, size_t end, double level)
{
    struct bracket bracket = {.above = SIZE_MAX, .lowest_v = NAN};
    for (size_t k = 0; k < course->node_count && !bracket.found; k++) {
        if (!counts(course, k, first, end))
            continue;
        double v = course->volts[k].value;
        bracket.lowest_v = v < bracket.lowest_v || isnan(bracket.lowest_v) ? v : bracket.lowest_v;
        if (!is_counted(course, k, first))
            continue;
        if (v > level) {
            bracket.above = k;
        } else if (bracket.above != SIZE_MAX) {
            bracket.below = k;
            bracket.found = true;
        }
    }
    return bracket;
}

/* Part of the way from one to the other, between `first` and `last`; `per_volt` of the measure's unit passes
 * while the volts fall by one. */
struct fall {
    double first, last, per_volt;
};

static struct measure between(const struct course *course, const struct measure *above, const struct measure *below,
                              double level, const struct fall *fall)
{
    double share = (fall->first + fall->last) / 2, per_volt = fall->per_volt;
    struct measure middle = measure_sum(above, 1 - share, below, share);
    if (!measure_known(&middle))
        return middle;
    const struct rig *rig = course->rig;
    const struct accuracy *volts = &rig->of[CHANNEL_VOLTAGE];
    const struct part parts[] = {
        {CAUSE_GAP, SHAPE_RECTANGULAR,
         (below->value - above->value) * (fall->last - fall->first) / 2 / sqrt(3), INFINITY, 0,
         "when the volts came down to the cut-off, between two readings", "more lines where the volts fall fast"},
        {CAUSE_GAIN_VOLTAGE, SHAPE_RECTANGULAR, per_volt * level * volts->gain / sqrt(3), INFINITY,
         rig_source(rig, CHANNEL_VOLTAGE, ERROR_GAIN), "gain of the voltage channel at the cut-off", "a better voltmeter"},
        {CAUSE_OFFSET_VOLTAGE, SHAPE_RECTANGULAR, per_volt * accuracy_offset(volts, 0) / sqrt(3), INFINITY,
         rig_source(rig, CHANNEL_VOLTAGE, ERROR_OFFSET), "offset of the voltage channel at the cut-off",
         "a better voltmeter"},
    };
    for (size_t k = 0; k < sizeof parts / sizeof parts[0]; k++)
        measure_part(&middle, parts[k]);
    budget_close(&middle);
    return middle;
}

static struct fall fall_between(const struct course *course, const struct bracket *bracket, double level)
{
    struct fall fall = {.first = 0, .last = 1};
    if (course->phase_of[bracket->above] == course->phase_of[bracket->below]) {
        struct leg leg = sight_leg_between(course, bracket->above, bracket->below);
        sight_fall(course, &leg, level, &fall.first, &fall.last);
    }
    return fall;
}

static struct capacity capacity_at(const struct course *course, size_t first, size_t end, double cut_off_v)
{
    struct capacity capacity = {.cut_off_v = cut_off_v, .at_s = NAN};
    const struct rig *rig = course->rig;
    double level = rig->sense_leads ? cut_off_v : cut_off_v - rig->lead_ohm * course->findings->test_mean_a;
    struct bracket bracket = find_bracket(course, first, end, level);
    if (!bracket.found) {
        capacity.charge_ah = bracket.above == SIZE_MAX
                                 ? measure_unknown("the volts were not read above %g V under load", cut_off_v)
                                 : measure_unknown("the lowest volts read under load are %.2f V, above %g V",
                                                   bracket.lowest_v, cut_off_v);
        capacity.energy_wh = capacity.charge_ah;
        return capacity;
    }
    struct sight_amounts above, below;
    sight_amounts(course, first, course->position[bracket.above], &above);
    sight_amounts(course, first, course->position[bracket.below], &below);
    struct fall fall = fall_between(course, &bracket, level);
    double dv = course->volts[bracket.above].value - course->volts[bracket.below].value;
    fall.per_volt = (below.charge_ah.value - above.charge_ah.value) / dv;
    capacity.reached = true;
    double above_s = course_node(course, bracket.above)->at_s, below_s = course_node(course, bracket.below)->at_s;
    capacity.at_s = above_s + (below_s - above_s) * (fall.first + fall.last) / 2;
    capacity.charge_ah = between(course, &above.charge_ah, &below.charge_ah, level, &fall);
    fall.per_volt *= level;
    capacity.energy_wh = between(course, &above.energy_wh, &below.energy_wh, level, &fall);
    return capacity;
}

static bool listed(const struct asked *asked, double volts)
{
    for (int k = 0; k < asked->cut_offs; k++)
        if (fabs(asked->cut_off_v[k] - volts) < 1e-6 * volts)
            return true;
    return false;
}

static int higher_first(const void *a, const void *b)
{
    double x = ((const struct capacity *)a)->cut_off_v, y = ((const struct capacity *)b)->cut_off_v;
    return (x < y) - (x > y);
}

void sight_capacities(struct course *course, size_t first, size_t end)
{
    struct findings *findings = course->findings;
    const struct asked *asked = course->asked;
    double usual[ASKED_CUT_OFFS];
    int usual_count = asked->lithium_iron_phosphate ? capacity_usual(asked->cells, usual) : 0;
    findings->capacities = memory_get((size_t)(asked->cut_offs + usual_count + 1) * sizeof *findings->capacities);
    for (int k = 0; k < asked->cut_offs; k++) {
        struct capacity one = capacity_at(course, first, end, asked->cut_off_v[k]);
        one.asked = true;
        findings->capacities[findings->capacity_count++] = one;
    }
    for (int k = 0; k < usual_count; k++) {
        if (listed(asked, usual[k]))
            continue;
        struct capacity one = capacity_at(course, first, end, usual[k]);
        if (one.reached)
            findings->capacities[findings->capacity_count++] = one;
    }
    qsort(findings->capacities, findings->capacity_count, sizeof *findings->capacities, higher_first);
}

static double amount_at(const struct course *course, size_t first, size_t node, bool energy, struct sight_amounts *ret)
{
    sight_amounts(course, first, course->position[node], ret);
    return energy ? ret->energy_wh.value : ret->charge_ah.value;
}

struct crossing sight_crossing(const struct course *course, size_t first, size_t end, bool energy, double rated)
{
    struct crossing missed = {.rated = rated, .volts = NAN};
    missed.at_s = isnan(rated) ? measure_unknown("no rated value was given")
                               : measure_unknown("the test ended before it had delivered %g %s", rated,
                                                 energy ? "Wh" : "Ah");
    const struct measure *whole = energy ? &course->findings->test_wh : &course->findings->test_ah;
    if (!isnan(rated) && !measure_known(whole))
        missed.at_s = *whole;
    if (isnan(rated) || !(whole->value >= rated))
        return missed;
    struct sight_amounts before = {0}, here;
    size_t last = SIZE_MAX;
    double last_amount = 0;
    for (size_t k = 0; k < course->node_count; k++) {
        if (course->position[k] < first || course->position[k] > end)
            continue;
        double amount = amount_at(course, first, k, energy, &here);
        if (isnan(amount)) {
            missed.at_s = energy ? here.energy_wh : here.charge_ah;
            return missed;
        }
        if (amount >= rated && last != SIZE_MAX && amount > last_amount) {
            const struct sight *a = course_node(course, last), *b = course_node(course, k);
            double share = (rated - last_amount) / (amount - last_amount);
            double per_s = (amount - last_amount) / (b->at_s - a->at_s);
            const struct measure *one = energy ? &before.energy_wh : &before.charge_ah;
            const struct measure *two = energy ? &here.energy_wh : &here.charge_ah;
            struct measure at = measure_sum(one, -(1 - share) / per_s, two, -share / per_s);
            at.value = a->at_s + share * (b->at_s - a->at_s) - course->findings->test_start_s;
            budget_close(&at);
            return (struct crossing){rated, true, at,
                                     course->volts[last].value + share * (course->volts[k].value - course->volts[last].value)};
        }
        before = here;
        last = k;
        last_amount = amount;
    }
    missed.at_s = measure_unknown("it was passed after the last reading under load");
    return missed;
}
