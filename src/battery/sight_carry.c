#include "battery/sight_carry.h"

#include "base/memory.h"
#include "battery/sight_law.h"

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

static void lay_out(struct course *course)
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

/* A path of volts against the fraction of a leg's time: two straight pieces. */
struct path {
    double x, start, middle, end; /* the bend at x */
};

static double mean_of_line(double v0, double v1, double n)
{
    if (n == 0)
        return 1;
    double spread = fabs(v1 - v0) / (v0 + v1);
    if (!(spread > 1e-4)) /* the closed form cancels; the mean's error is spread²/3 */
        return pow((v0 + v1) / 2, n);
    if (n == -1)
        return log(v1 / v0) / (v1 - v0);
    return (pow(v1, n + 1) - pow(v0, n + 1)) / ((n + 1) * (v1 - v0));
}

static double mean_of_path(const struct path *path, double n)
{
    return path->x * mean_of_line(path->start, path->middle, n) +
           (1 - path->x) * mean_of_line(path->middle, path->end, n);
}

/* Volts before the pulse that this phase follows; NaN when it follows none. */
static double volts_before_pulse(const struct course *course, size_t phase)
{
    const struct findings *findings = course->findings;
    if (phase < 2 || !findings->phases[phase - 1].pulse)
        return NAN;
    for (size_t k = course->node_count; k-- > 0;)
        if (course->phase_of[k] == phase - 2 && course->volts[k].value > 0)
            return course->volts[k].value;
    return NAN;
}

static double least_volts(const struct course *course, size_t node)
{
    double highest = 0;
    for (size_t k = 0; k < course->node_count; k++)
        if (course->volts[k].value > highest)
            highest = course->volts[k].value;
    return fmin(LEAST_VOLTS * highest, course->volts[node].value);
}

/* Upper and lower path of the volts of a leg; false when no volts bound it. */
static bool bound_paths(const struct course *course, const struct leg *leg, struct path *ret_low,
                        struct path *ret_high)
{
    long known = leg->a != NO_NODE ? leg->a : leg->b;
    double v = course->volts[known].value;
    if (!(v > 0))
        return false;
    *ret_low = *ret_high = (struct path){0.5, v, v, v};
    bool last = known + 1 == (long)course->node_count ||
                course->phase_of[known] != course->phase_of[known + 1];
    if (leg->a != NO_NODE && leg->b != NO_NODE) {
        double w = course->volts[leg->b].value;
        double before = volts_before_pulse(course, leg->phase);
        double lo = fmin(v, w), hi = fmax(v, w);
        if (w > v && before > hi)
            hi = before;
        *ret_low = (struct path){0.5, lo, lo, lo};
        *ret_high = (struct path){0.5, hi, hi, hi};
    } else if (leg->b == NO_NODE && last && course->findings->phases[leg->phase].kind == RUN_DISCHARGE) {
        bool ends = known + 1 == (long)course->node_count || !flows(course, (size_t)known + 1);
        double least = ends ? least_volts(course, (size_t)known) : v;
        *ret_low = (struct path){0.5, least, least, least};
    }
    return true;
}

void sight_mean_power(const struct course *course, const struct leg *leg, double n, double *ret_lo,
                      double *ret_hi)
{
    struct path low, high;
    if (!bound_paths(course, leg, &low, &high)) {
        *ret_lo = *ret_hi = n == 0 ? 1 : NAN;
        return;
    }
    double one = mean_of_path(&low, n), two = mean_of_path(&high, n);
    *ret_lo = fmin(one, two);
    *ret_hi = fmax(one, two);
}

/* Mean level over the leg. */
static double level_over(const struct course *course, const struct leg *leg, int law)
{
    double a = sight_level_at(course, (size_t)(leg->a != NO_NODE ? leg->a : leg->b), law);
    double b = sight_level_at(course, (size_t)(leg->b != NO_NODE ? leg->b : leg->a), law);
    return (a + b) / 2;
}

static void find_means(struct course *course, struct leg *leg)
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
    lay_out(course);
    for (size_t k = 0; k < course->leg_count; k++)
        if (course->load[course->class_of[course->leg[k].phase]].unknown == NULL)
            find_means(course, &course->leg[k]);
}
