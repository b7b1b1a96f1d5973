#include "battery/sight_path.h"

/* Two straight pieces against the fraction of a leg's time, with a bend at x. */
struct path {
    double x, start, middle, end;
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

static struct path straight(double v0, double v1)
{
    return (struct path){0.5, v0, (v0 + v1) / 2, v1};
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

static double highest_volts(const struct course *course, size_t phase)
{
    double highest = NAN;
    for (size_t k = 0; k < course->node_count; k++)
        if (course->phase_of[k] == phase && !(course->volts[k].value <= highest))
            highest = course->volts[k].value;
    return highest;
}

static double least_volts(const struct course *course, size_t node)
{
    return fmin(LEAST_VOLTS * highest_volts(course, course->phase_of[node]), course->volts[node].value);
}

/* Seconds from one node to a later one of the same phase; NaN where neither a clock nor a tally at both
 * tells them. */
static double seconds_between(const struct course *course, size_t from, size_t to)
{
    bool tallied = is_seen(&course_node(course, from)->of[CHANNEL_CHARGE_TALLY]) &&
                   is_seen(&course_node(course, to)->of[CHANNEL_CHARGE_TALLY]);
    double seconds = 0;
    for (size_t k = course->position[from]; k < course->position[to]; k++) {
        const struct leg *leg = &course->leg[k];
        seconds += leg->timed || (tallied && leg->bounded) ? leg->duration_s : NAN;
    }
    return seconds;
}

/* Volts lost a second between two nodes, once the loss stands out; NaN before. */
static double loss_rate(const struct course *course, size_t from, size_t to)
{
    double loss = course->volts[from].value - course->volts[to].value;
    double slack = seen_half(&course->volts[from]) + seen_half(&course->volts[to]);
    double seconds = seconds_between(course, from, to);
    return loss > 4 * slack && seconds > 0 ? loss / seconds : NAN;
}

static double rate_before(const struct course *course, size_t node)
{
    for (size_t k = node; k-- > 0 && course->phase_of[k] == course->phase_of[node];) {
        double rate = loss_rate(course, k, node);
        if (!isnan(rate))
            return rate;
    }
    return NAN;
}

static double rate_after(const struct course *course, size_t node)
{
    for (size_t k = node + 1; k < course->node_count && course->phase_of[k] == course->phase_of[node]; k++) {
        double rate = loss_rate(course, node, k);
        if (!isnan(rate))
            return rate;
    }
    return NAN;
}

/* The highest path of volts that bend down: on from the line before, then down the line after. */
static struct path bent(double v, double w, double seconds, double before, double after)
{
    if (isnan(after))
        return (struct path){1, v, fmax(w, v - before * seconds), w};
    /* v - before·t = w + after·(seconds - t) */
    double t = (w + after * seconds - v) / (after - before);
    double x = fmin(1, fmax(0, t / seconds));
    return (struct path){x, v, v - before * x * seconds, w};
}

static void bound_between(const struct course *course, const struct leg *leg, struct path *ret_low,
                          struct path *ret_high)
{
    double v = course->volts[leg->a].value, w = course->volts[leg->b].value;
    double lo = fmin(v, w), hi = fmax(v, w), recovered = volts_before_pulse(course, leg->phase);
    if (w > v && recovered > hi)
        hi = recovered;
    *ret_low = straight(lo, lo);
    *ret_high = straight(hi, hi);
    if (course->findings->phases[leg->phase].kind != RUN_DISCHARGE || !(v - w > KNEE_DROP * v))
        return;
    double here = loss_rate(course, (size_t)leg->a, (size_t)leg->b);
    double before = rate_before(course, (size_t)leg->a), after = rate_after(course, (size_t)leg->b);
    bool first = leg->a == 0 || course->phase_of[leg->a - 1] != leg->phase;
    if (isnan(before) && !first) /* volts that stand still */
        before = 0;
    if (here > before && !(after <= here)) {
        *ret_low = straight(v, w);
        *ret_high = bent(v, w, leg->duration_s, before, after);
    }
}

/* Mean volts under the load of a phase; NaN when there are fewer than three. */
static double plateau_volts(const struct course *course, size_t phase)
{
    double sum = 0, count = 0;
    for (size_t k = 0; k < course->node_count; k++) {
        if (course->class_of[course->phase_of[k]] != course->class_of[phase] || !(course->volts[k].value > 0))
            continue;
        sum += course->volts[k].value;
        count++;
    }
    return count > 2 ? sum / count : NAN;
}

/* What the fold of the knee leaves after the node, in seconds at the load's pace, by the closest of the
 * readings before. */
static double left_by_fold(const struct course *course, size_t node, double plateau_v)
{
    double least = INFINITY;
    for (size_t k = node; k-- > 0 && course->phase_of[k] == course->phase_of[node];) {
        double rate = loss_rate(course, k, node);
        if (isnan(rate))
            continue;
        double loss = course->volts[k].value - course->volts[node].value;
        least = fmin(least, loss / rate / (exp(loss / (KNEE_FOLD * plateau_v)) - 1));
    }
    return least;
}

static bool is_end(const struct course *course, const struct leg *leg)
{
    if (leg->a == NO_NODE || leg->b != NO_NODE || course->findings->phases[leg->phase].kind != RUN_DISCHARGE)
        return false;
    size_t next = (size_t)leg->a + 1;
    if (next == course->node_count)
        return true;
    enum state state = course_node(course, next)->state;
    return state == STATE_REST || state == STATE_DARK;
}

double sight_longest_s(const struct course *course, const struct leg *leg)
{
    size_t node = (size_t)leg->a;
    if (!is_end(course, leg))
        return INFINITY;
    double plateau = plateau_volts(course, leg->phase), rate = rate_before(course, node);
    if (!(course->volts[node].value < (1 - 2 * KNEE_DROP) * plateau) || isnan(rate))
        return INFINITY;
    double left = (course->volts[node].value - least_volts(course, node)) / rate;
    return course->asked->lithium_iron_phosphate ? fmin(left, left_by_fold(course, node, plateau)) : left;
}

/* After the last node under a load, up to its end. */
static void bound_end(const struct course *course, const struct leg *leg, struct path *ret_low, struct path *ret_high)
{
    size_t node = (size_t)leg->a;
    double v = course->volts[node].value, least = least_volts(course, node);
    *ret_low = straight(least, least);
    *ret_high = straight(v, v);
    if (!isinf(leg->longest_s)) {
        *ret_low = straight(v, least);
        *ret_high = straight(v, fmax(least, v - rate_before(course, node) * leg->duration_s));
    }
}

/* False when no volts bound the leg. */
static bool bound_paths(const struct course *course, const struct leg *leg, struct path *ret_low, struct path *ret_high)
{
    double v = course->volts[leg->a != NO_NODE ? leg->a : leg->b].value;
    if (!(v > 0))
        return false;
    *ret_low = *ret_high = straight(v, v);
    if (leg->a != NO_NODE && leg->b != NO_NODE)
        bound_between(course, leg, ret_low, ret_high);
    else if (is_end(course, leg))
        bound_end(course, leg, ret_low, ret_high);
    return true;
}

void sight_mean_power(const struct course *course, const struct leg *leg, double n, double *ret_lo, double *ret_hi)
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

/* Where a falling path comes down to the level. */
static double fall_of(const struct path *path, double level)
{
    if (level >= path->start)
        return 0;
    if (level >= path->middle)
        return path->x * (path->start - level) / (path->start - path->middle);
    if (level >= path->end)
        return path->x + (1 - path->x) * (path->middle - level) / (path->middle - path->end);
    return 1;
}

void sight_fall(const struct course *course, const struct leg *leg, double level, double *ret_first, double *ret_last)
{
    struct path low, high;
    bound_between(course, leg, &low, &high);
    *ret_first = fall_of(&low, level);
    *ret_last = fall_of(&high, level);
}
