#include "battery/sight_sum.h"

#include "battery/sight_law.h"

double sum_middle(const struct course *course, const double of_law[LAWS], double *ret_half)
{
    double lo = of_law[0], hi = of_law[0];
    for (int l = 1; l < course->laws; l++) {
        lo = fmin(lo, of_law[l]);
        hi = fmax(hi, of_law[l]);
    }
    *ret_half = (hi - lo) / 2;
    return (lo + hi) / 2;
}

static bool counts(const bool *out, size_t first, size_t end, long leg)
{
    return leg != NO_NODE && (size_t)leg >= first && (size_t)leg < end && (out == NULL || !out[leg]);
}

static const char *why_not(const struct course *course, const struct leg *leg, bool by_itself)
{
    const struct load_class *load = &course->load[course->class_of[leg->phase]];
    if (load->unknown != NULL)
        return load->unknown;
    if (!leg->bounded)
        return "nothing tells how long a stretch between two readings lasted";
    if (by_itself && load->from_tally)
        return "the current was not read";
    return leg->timed || leg->open_s > 0 ? NULL : "no clock ran between some of the readings";
}

static void add_leg(const struct course *course, const struct leg *leg, struct sight_sum *sum)
{
    double half = 0;
    sum->duration_s += leg->duration_s;
    for (int l = 0; l < course->laws; l++) {
        sum->charge_c[l] += leg->amps[l] * leg->duration_s;
        sum->energy_j[l] += leg->watts[l] * leg->duration_s;
    }
    double amps = sum_middle(course, leg->amps, &half);
    sum->square_a2s += amps * amps * leg->duration_s;
    if (course->findings->phases[leg->phase].kind == RUN_DISCHARGE)
        sum->discharge_a2s += amps * amps * leg->duration_s;
    sum->volt_s += (leg->v_lo + leg->v_hi) / 2 * leg->duration_s;
    double widest_a = 0, widest_w = 0;
    for (int l = 0; l < course->laws; l++) {
        widest_a = fmax(widest_a, leg->amps_half[l]);
        widest_w = fmax(widest_w, leg->watts_half[l]);
    }
    widths_add(&sum->unseen_c, leg->amps[0] * leg->open_s);
    widths_add(&sum->unseen_j, leg->watts[0] * leg->open_s);
    widths_add(&sum->gap_c, widest_a * leg->duration_s);
    widths_add(&sum->gap_j, widest_w * leg->duration_s);
}

/* One class's level is one error for all its legs; the wander differs from leg to leg, and a third of
 * its variance is left in the mean of a leg whose ends are seen. */
static void add_levels(const struct course *course, size_t first, size_t end, const bool *out,
                       struct sight_sum *sum)
{
    for (size_t c = 0; c < course->class_count; c++) {
        double charge = 0, energy = 0, charge2 = 0, energy2 = 0;
        for (size_t k = first; k < end; k++) {
            const struct leg *leg = &course->leg[k];
            if (!counts(out, first, end, (long)k) || course->class_of[leg->phase] != c)
                continue;
            double q = leg->amps[0] * leg->duration_s, e = leg->watts[0] * leg->duration_s;
            charge += q;
            energy += e;
            charge2 += q * q;
            energy2 += e * e;
        }
        const struct level *level = &course->load[c].level[0];
        sum->level_c2 += pow(level->u * charge, 2);
        sum->level_j2 += pow(level->u * energy, 2);
        sum->wander_c2 += level->wander * level->wander * charge2 / 3;
        sum->wander_j2 += level->wander * level->wander * energy2 / 3;
    }
}

static void add_changes(const struct course *course, size_t first, size_t end, const bool *out,
                      struct sight_sum *sum)
{
    for (size_t k = 0; k < course->change_count; k++) {
        const struct change *change = &course->change[k];
        double amps = 0, watts = 0;
        if (counts(out, first, end, change->leg_before)) {
            amps += course->leg[change->leg_before].amps[0];
            watts += course->leg[change->leg_before].watts[0];
        }
        if (counts(out, first, end, change->leg_after)) {
            amps -= course->leg[change->leg_after].amps[0];
            watts -= course->leg[change->leg_after].watts[0];
        }
        if (change->timed) {
            widths_add(change->told ? &sum->step_c : &sum->unseen_c, amps * change->half_s);
            widths_add(change->told ? &sum->step_j : &sum->unseen_j, watts * change->half_s);
        }
    }
}

/* The typed times of the nodes: what is too much before is too little after. */
static void add_times(const struct course *course, size_t first, size_t end, const bool *out,
                      struct sight_sum *sum)
{
    for (size_t k = 0; k < course->node_count; k++) {
        const struct sight *sight = course_node(course, k);
        size_t at = course->position[k];
        double amps = 0, watts = 0;
        if (sight->clock < 0)
            continue;
        if (at > 0 && counts(out, first, end, (long)at - 1) && course->leg[at - 1].b == (long)k &&
            course->leg[at - 1].timed) {
            amps += course->leg[at - 1].amps[0];
            watts += course->leg[at - 1].watts[0];
        }
        if (at < course->leg_count && counts(out, first, end, (long)at) && course->leg[at].a == (long)k &&
            course->leg[at].timed) {
            amps -= course->leg[at].amps[0];
            watts -= course->leg[at].watts[0];
        }
        widths_add(&sum->step_c, amps * sight->t_half_s);
        widths_add(&sum->step_j, watts * sight->t_half_s);
    }
}

struct sight_sum sight_sum(const struct course *course, size_t first, size_t end, const bool *out)
{
    struct sight_sum sum = {0};
    for (size_t k = first; k < end; k++) {
        if (!counts(out, first, end, (long)k))
            continue;
        const char *why = why_not(course, &course->leg[k], out == NULL);
        sum.unknown = sum.unknown == NULL ? why : sum.unknown;
        add_leg(course, &course->leg[k], &sum);
    }
    add_levels(course, first, end, out, &sum);
    add_changes(course, first, end, out, &sum);
    add_times(course, first, end, out, &sum);
    return sum;
}
