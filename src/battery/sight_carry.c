#include "battery/sight_carry.h"

#include "base/memory.h"
#include "battery/sight_law.h"
#include "battery/sight_path.h"

static bool flows(const struct course *course, size_t node)
{
    enum state state = course_node(course, node)->state;
    return state == STATE_DISCHARGE || state == STATE_CHARGE;
}

static void add_leg(struct course *course, long a, long b, size_t phase)
{
    course->leg[course->leg_count++] = (struct leg){.a = a, .b = b, .phase = phase};
}

static void add_change(struct course *course, long before, long after)
{
    struct change change = {.before = before, .after = after, .leg_before = NO_NODE, .leg_after = NO_NODE};
    if (before != NO_NODE && flows(course, (size_t)before)) {
        change.leg_before = (long)course->leg_count;
        add_leg(course, before, NO_NODE, course->phase_of[before]);
    }
    if (after != NO_NODE && flows(course, (size_t)after)) {
        change.leg_after = (long)course->leg_count;
        add_leg(course, NO_NODE, after, course->phase_of[after]);
    }
    course->change[course->change_count++] = change;
}

void sight_lay_out(struct course *course)
{
    size_t room = 2 * course->node_count + 2;
    course->leg = memory_get(room * sizeof *course->leg);
    course->change = memory_get(room * sizeof *course->change);
    course->position = memory_get(room * sizeof *course->position);
    add_change(course, NO_NODE, 0);
    for (size_t k = 0; k < course->node_count; k++) {
        course->position[k] = course->leg_count;
        if (k + 1 == course->node_count)
            break;
        if (course->phase_of[k] == course->phase_of[k + 1]) {
            if (flows(course, k))
                add_leg(course, (long)k, (long)k + 1, course->phase_of[k]);
        } else {
            add_change(course, (long)k, (long)k + 1);
        }
    }
    add_change(course, (long)course->node_count - 1, NO_NODE);
}

/* Mean level over the leg. */
static double level_over(const struct course *course, const struct leg *leg, int law)
{
    double a = sight_level_at(course, (size_t)(leg->a != NO_NODE ? leg->a : leg->b), law);
    double b = sight_level_at(course, (size_t)(leg->b != NO_NODE ? leg->b : leg->a), law);
    return (a + b) / 2;
}

static void find_means(const struct course *course, struct leg *leg)
{
    sight_mean_power(course, leg, 1, &leg->v_lo, &leg->v_hi);
    for (int l = 0; l < course->laws; l++) {
        double n = course->exponent[l], k = level_over(course, leg, l), lo, hi;
        sight_mean_power(course, leg, n, &lo, &hi);
        if (isnan(lo)) /* no volts at all: the level is the current */
            lo = hi = 1;
        leg->amps[l] = k * (lo + hi) / 2;
        leg->amps_half[l] = k * (hi - lo) / 2;
        sight_mean_power(course, leg, n + 1, &lo, &hi);
        leg->watts[l] = isnan(leg->v_lo) ? NAN : k * (lo + hi) / 2;
        leg->watts_half[l] = isnan(leg->v_lo) ? NAN : k * (hi - lo) / 2;
    }
}

void sight_carry(struct course *course)
{
    for (size_t k = 0; k < course->leg_count; k++) {
        struct leg *leg = &course->leg[k];
        leg->longest_s = sight_longest_s(course, leg);
        if (course->load[course->class_of[leg->phase]].unknown == NULL)
            find_means(course, leg);
    }
}

struct leg sight_leg_between(const struct course *course, size_t x, size_t y)
{
    struct leg leg = {.a = (long)x, .b = (long)y, .phase = course->phase_of[x], .bounded = true, .longest_s = INFINITY};
    for (size_t k = course->position[x]; k < course->position[y]; k++)
        leg.duration_s += course->leg[k].duration_s;
    find_means(course, &leg);
    return leg;
}
