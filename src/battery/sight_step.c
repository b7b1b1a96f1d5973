#include "battery/sight_step.h"

#include "base/memory.h"
#include "numeric/budget.h"

static void add_bound(struct measure *ohm, enum cause cause, double half, uint32_t source, const char *what,
                      const char *remedy)
{
    measure_part(ohm, (struct part){cause, SHAPE_RECTANGULAR, half / sqrt(3), INFINITY, source, what, remedy});
}

/* R = -(V1 - V0) / (I1 - I0): offsets cancel, gains do not; the words of all four readings count. */
static struct measure resistance_of(const struct course *course, const struct sight *before, const struct sight *after)
{
    const struct seen *v0 = &before->of[CHANNEL_VOLTAGE], *v1 = &after->of[CHANNEL_VOLTAGE];
    const struct seen *i0 = &before->amps, *i1 = &after->amps;
    double apart = after->t_s - before->t_s;
    if (before->clock < 0 || before->clock != after->clock)
        return measure_unknown("no time tells how far the readings before and after the step lie apart");
    if (apart > STEP_WITHIN_S)
        return measure_unknown("the readings before and after the step lie %.0f s apart", apart);
    if (!is_seen(v0) || !is_seen(v1) || !is_seen(i0) || !is_seen(i1))
        return measure_unknown("volts and amps were not both read before and after the step");
    double dv = v1->value - v0->value, di = i1->value - i0->value;
    double half_v = seen_half(v0) + seen_half(v1), half_i = seen_half(i0) + seen_half(i1);
    if (fabs(di) <= half_i || fabs(dv) <= half_v || dv * di > 0)
        return measure_unknown("the step is not larger than what the words leave open");
    double ohm = -dv / di;
    struct measure r = measure_of(ohm);
    const struct rig *rig = course->rig;
    add_bound(&r, CAUSE_RESOLUTION, seen_half(v0) / di, 0, "the volts as they were read", "volts with more digits");
    add_bound(&r, CAUSE_RESOLUTION, seen_half(v1) / di, 0, "the volts as they were read", "volts with more digits");
    add_bound(&r, i0->hedged ? CAUSE_HEDGE : CAUSE_RESOLUTION, ohm * seen_half(i0) / di, 0,
              "the amps as they were read", "amps read plainly");
    add_bound(&r, i1->hedged ? CAUSE_HEDGE : CAUSE_RESOLUTION, ohm * seen_half(i1) / di, 0,
              "the amps as they were read", "amps read plainly");
    add_bound(&r, CAUSE_GAIN_VOLTAGE, ohm * rig->of[CHANNEL_VOLTAGE].gain,
              rig_source(rig, CHANNEL_VOLTAGE, ERROR_GAIN), "gain of the voltage channel", "");
    add_bound(&r, CAUSE_GAIN_CURRENT, -ohm * rig->of[CHANNEL_CURRENT].gain,
              rig_source(rig, CHANNEL_CURRENT, ERROR_GAIN), "gain of the current channel", "");
    add_bound(&r, CAUSE_GAIN_CURRENT, -ohm * rig->of[CHANNEL_CURRENT].shunt_gain,
              rig_source(rig, CHANNEL_CURRENT, ERROR_SHUNT), "the shunt or current sensor", "");
    if (!rig->sense_leads) {
        r.value -= rig->lead_ohm;
        add_bound(&r, CAUSE_LEADS, rig->lead_halfwidth_ohm, rig_source(rig, CHANNEL_VOLTAGE, ERROR_LEADS),
                  "leads between meter and terminals", "sense leads to the terminals");
    }
    budget_close(&r);
    return r;
}

static double amps_near(const struct course *course, size_t node)
{
    if (course_node(course, node)->state == STATE_REST || course_node(course, node)->state == STATE_DARK)
        return 0;
    double seen = course_node(course, node)->amps.value;
    size_t at = course->position[node];
    bool charge = course_node(course, node)->state == STATE_CHARGE;
    if (!isnan(seen))
        return seen;
    double carried = at < course->leg_count && course->leg[at].a == (long)node ? course->leg[at].amps[0]
                     : at > 0                                                 ? course->leg[at - 1].amps[0]
                                                                              : NAN;
    return charge ? -carried : carried;
}

void sight_steps(struct course *course)
{
    struct findings *findings = course->findings;
    findings->steps = memory_get((course->change_count + 1) * sizeof *findings->steps);
    for (size_t k = 0; k < course->change_count; k++) {
        const struct change *change = &course->change[k];
        if (change->before == NO_NODE || change->after == NO_NODE ||
            (change->leg_before == NO_NODE && change->leg_after == NO_NODE))
            continue;
        const struct sight *before = course_node(course, (size_t)change->before),
                           *after = course_node(course, (size_t)change->after);
        struct step step = {
            .before = before->instant,
            .after = after->instant,
            .at_s = change->at_s,
            .at_halfwidth_s = change->half_s,
            .from_a = amps_near(course, (size_t)change->before),
            .to_a = amps_near(course, (size_t)change->after),
        };
        if (after->state != STATE_DARK) {
            step.resistances = 1;
            step.resistance[0] = (struct resistance){after->at_s - change->at_s, resistance_of(course, before, after)};
        }
        findings->steps[findings->step_count++] = step;
    }
}
