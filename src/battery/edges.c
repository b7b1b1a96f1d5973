#include "battery/edges.h"

#include "battery/ending.h"
#include "numeric/stats.h"

/* Median interval of the few readings nearest to one end of first…last; NaN when there is none. */
static double cadence(const struct trace *trace, size_t first, size_t last, bool at_start)
{
    enum { NEAREST = 9 };
    double width[NEAREST], scratch[NEAREST];
    size_t count = last - first < NEAREST ? last - first : NEAREST;
    size_t from = at_start ? first : last - count;
    for (size_t k = 0; k < count; k++)
        width[k] = trace->t_s[from + k + 1] - trace->t_s[from + k];
    return stats_median(width, count, scratch);
}

/* False when the edge stays in the middle. */
static bool find_edge(const struct trace *trace, const struct run *before, const struct run *after,
                      double *ret_at_s, double *ret_halfwidth_s)
{
    double t0 = trace->t_s[before->last], t1 = trace->t_s[after->first], width = t1 - t0;
    bool stops = fabs(trace->a[before->last]) > fabs(trace->a[after->first]);
    double ending = cadence(trace, before->first, before->last, false);
    double starting = cadence(trace, after->first, after->last, true);
    double own = stops ? ending : starting, other = stops ? starting : ending;
    bool seen_dark = trace->v != NULL && /* by a meter that lived on */
                     trace->v[after->first] < COLLAPSED * trace->v[before->last];
    bool dark = stops && !seen_dark && (before->ended.dark || before->ended.by == ENDED_BMS);
    if (!(width > 1.5 * own) || !(width <= 1.5 * other || dark))
        return false;
    *ret_halfwidth_s = own / 2;
    *ret_at_s = stops ? t0 + own / 2 : t1 - own / 2;
    return true;
}

static void move_step(struct findings *findings, size_t after, double at_s, double halfwidth_s)
{
    for (size_t k = 0; k < findings->step_count; k++) {
        if (findings->steps[k].after == after) {
            findings->steps[k].at_s = at_s;
            findings->steps[k].at_halfwidth_s = halfwidth_s;
        }
    }
}

/* The meter went dark with the sample: the next reading would have come within one cadence, so the end lies
 * in the middle of it, half a cadence on either side. */
static void end_in_the_dark(const struct trace *trace, struct findings *findings)
{
    struct run *last = findings->run_count > 0 ? &findings->runs[findings->run_count - 1] : NULL;
    if (last == NULL || last->kind == RUN_REST || !(last->ended.dark || last->ended.by == ENDED_BMS))
        return;
    double own = cadence(trace, last->first, last->last, false);
    if (!(own > 0))
        return;
    last->end_s = trace->t_s[last->last] + own / 2;
    if (last->phases > 0)
        findings->phases[last->first_phase + last->phases - 1].end_s = last->end_s;
}

void edges_place(const struct trace *trace, struct findings *findings)
{
    end_in_the_dark(trace, findings);
    for (size_t k = 0; k + 1 < findings->run_count; k++) {
        struct run *before = &findings->runs[k], *after = before + 1;
        double at_s, halfwidth_s;
        if (!find_edge(trace, before, after, &at_s, &halfwidth_s))
            continue;
        before->end_s = after->start_s = at_s;
        if (before->phases > 0)
            findings->phases[before->first_phase + before->phases - 1].end_s = at_s;
        if (after->phases > 0)
            findings->phases[after->first_phase].start_s = at_s;
        move_step(findings, after->first, at_s, halfwidth_s);
    }
}
