#include "bench/timeline.h"

#include <math.h>

static const double walk_s = 1, still_s = 5, machine_delay_s = 0.05;
static const int most_decimals = 6;

struct timeline timeline_begin(const struct link *link, const struct clock *clock, int64_t origin_ns,
                               double from_s)
{
    return (struct timeline){.origin_ns = origin_ns,
                             .slack = clock->rate,
                             .own_time = link->own_time,
                             .own_unit = link->time_source.unit,
                             .last_s = from_s,
                             .decimals = TIMELINE_DECIMALS,
                             .least_late_s = INFINITY};
}

void timeline_resume(struct timeline *timeline, double tie_s)
{
    timeline->tie_s = tie_s;
    timeline->tied = timeline->resumed = true;
    timeline->own_last_s = -INFINITY;
}

void timeline_away(struct timeline *timeline)
{
    timeline->was_away = true;
}

double timeline_s(const struct timeline *timeline, int64_t at_ns)
{
    return (double)(at_ns - timeline->origin_ns) * 1e-9;
}

static double at_least(const struct timeline *timeline, double seconds)
{
    return fmax(seconds, machine_delay_s * timeline->slack);
}

static void tie(struct timeline *timeline, double arrived_s, double own_s)
{
    double unit = pow(10, TIMELINE_DECIMALS); /* whole steps: differences keep the instrument's own digits */
    timeline->tie_s = round((fmax(arrived_s, timeline->last_s) - own_s) * unit) / unit;
    timeline->tied = true;
    timeline->in_window = 0;
    timeline->least_late_s = INFINITY;
    timeline->told_s = 0;
}

static enum clock_trouble look_at_walk(struct timeline *timeline, double late_s, double *ret_by_s)
{
    timeline->least_late_s = fmin(timeline->least_late_s, late_s);
    if (++timeline->in_window < TIMELINE_WINDOW)
        return CLOCK_FINE;
    double by_s = timeline->least_late_s;
    timeline->in_window = 0;
    timeline->least_late_s = INFINITY;
    if (fabs(by_s) < at_least(timeline, walk_s) || fabs(by_s) < 2 * timeline->told_s)
        return CLOCK_FINE;
    timeline->told_s = fabs(by_s);
    *ret_by_s = by_s;
    return CLOCK_WALKS;
}

static enum clock_trouble look_at_own(struct timeline *timeline, double arrived_s, double own_s,
                                      double *ret_by_s)
{
    bool was_away = timeline->was_away;
    timeline->was_away = false;
    double late_s = arrived_s - (own_s + timeline->tie_s);
    bool other = timeline->resumed && fabs(late_s) > at_least(timeline, still_s);
    timeline->resumed = false;
    if (!timeline->tied || other) {
        tie(timeline, arrived_s, own_s);
        return CLOCK_FINE;
    }
    if (own_s < timeline->own_last_s) {
        *ret_by_s = timeline->own_last_s - own_s;
        tie(timeline, arrived_s, own_s);
        return CLOCK_BEGAN_AGAIN;
    }
    double passed_s = arrived_s - timeline->arrived_last_s, own_passed_s = own_s - timeline->own_last_s;
    if (was_away && passed_s - own_passed_s > at_least(timeline, still_s) && own_passed_s < passed_s / 2) {
        *ret_by_s = passed_s - own_passed_s;
        tie(timeline, arrived_s, own_s);
        return CLOCK_STOOD_STILL;
    }
    return look_at_walk(timeline, late_s, ret_by_s);
}

struct decimal timeline_stamp(struct timeline *timeline, const struct arrival *arrival,
                              enum clock_trouble *ret_trouble, double *ret_by_s)
{
    double arrived_s = timeline_s(timeline, arrival->at_ns), t_s = arrived_s;
    *ret_trouble = CLOCK_FINE;
    double own_s = unit_own(decimal_value(arrival->time), &timeline->own_unit);
    if (timeline->own_time && isfinite(own_s)) {
        *ret_trouble = look_at_own(timeline, arrived_s, own_s, ret_by_s);
        timeline->own_last_s = own_s;
        timeline->arrived_last_s = arrived_s;
        t_s = own_s + timeline->tie_s;
        if (arrival->time.decimals > timeline->decimals)
            timeline->decimals =
                arrival->time.decimals < most_decimals ? arrival->time.decimals : most_decimals;
    }
    if (t_s > timeline->last_s)
        timeline->last_s = t_s;
    return decimal_of(timeline->last_s, timeline->decimals);
}
