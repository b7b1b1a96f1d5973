#include "battery/sight_protections.h"

#include "base/memory.h"
#include "battery/protections.h"

/* One clock for all that was read, so that what lies between is known. */
static bool is_timed(const struct course *course)
{
    for (size_t k = 0; k < course->node_count; k++)
        if (isnan(course_node(course, k)->t_s) || course_node(course, k)->clock != course_node(course, 0)->clock)
            return false;
    return true;
}

static double amps_of(const struct sight *sight)
{
    if (is_seen(&sight->amps))
        return sight->amps.value;
    return sight->state == STATE_REST || sight->state == STATE_DARK ? 0 : NAN;
}

/* Words alone stand at their own time, where all share one clock; else where the sight before them does. */
static double instant_of(const struct sight *sight, bool timed, double before_s)
{
    double at_s = isnan(sight->at_s) && timed ? sight->t_s : sight->at_s;
    return isnan(at_s) ? before_s : fmax(at_s, before_s);
}

/* As seen, the last that was read counts. */
static void take_digits(const struct sight *sight, struct watched *w)
{
    const struct seen *v = &sight->of[CHANNEL_VOLTAGE], *degc = &sight->of[CHANNEL_TEMPERATURE];
    w->digit_v = is_seen(v) ? v->digit : w->digit_v;
    w->digit_a = is_seen(&sight->amps) ? sight->amps.digit : w->digit_a;
    w->digit_degc = is_seen(degc) ? degc->digit : w->digit_degc;
}

void sight_protections(struct course *course)
{
    size_t n = course->sight_count;
    double *columns = memory_get(6 * n * sizeof *columns), *t = columns, *v = t + n, *a = v + n, *degc = a + n,
           *half_a = degc + n, *half_degc = half_a + n;
    struct told *told = memory_get(n * sizeof *told);
    struct watched w = {.rig = course->rig, .asked = course->asked, .findings = course->findings, .t_s = t, .v = v, .a = a, .half_a = half_a,
                        .half_degc = half_degc, .count = n, .told = told, .told_count = n, .by_eye = true, .timed = is_timed(course)};
    for (size_t k = 0; k < n; k++) {
        const struct sight *sight = &course->sight[k];
        const struct instant *instant = &course->sightings->instants[sight->instant];
        t[k] = instant_of(sight, w.timed, k > 0 ? t[k - 1] : 0);
        v[k] = sight->state == STATE_DARK ? NAN : sight->of[CHANNEL_VOLTAGE].value;
        a[k] = amps_of(sight);
        degc[k] = sight->of[CHANNEL_TEMPERATURE].value;
        half_a[k] = seen_half(&sight->amps);
        half_degc[k] = seen_half(&sight->of[CHANNEL_TEMPERATURE]);
        w.degc = isnan(degc[k]) ? w.degc : degc;
        take_digits(sight, &w);
        told[k] = (struct told){t[k], fmax(sight->at_half_s, instant->halfwidth_s), instant->words};
    }
    protections_find(&w, course->findings);
    free(told);
    free(columns);
}
