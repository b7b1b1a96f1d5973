#include "battery/sight_volts.h"

#include "base/memory.h"
#include "battery/amounts.h"
#include "battery/sight_carry.h"
#include "battery/sight_meter.h"
#include "battery/sight_sum.h"
#include "numeric/budget.h"

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
struct measure sight_volts(const struct course *course, const struct chains *chains, size_t first, size_t end)
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
    for (size_t k = 0; k < chains->count; k++)
        take_chain(course, &chains->chain[k], legs);
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
        sight_add_voltage(course, v.value, 1, &v);
        widths_part(&gap, CAUSE_GAP, 1 / total, "the volts between the readings", "more lines where the volts fall fast",
                    &v);
        sight_part(&v, CAUSE_LOAD_LAW, SHAPE_NORMAL, weights_u(course, legs, first, end, v.value, total),
            "the charge between the readings", "more lines, closer together");
        budget_close(&v);
    }
    free(legs);
    return v;
}

