#include "battery/pulse_pair.h"

#include "base/memory.h"
#include "battery/resistance.h"

#include <stdarg.h>

static const struct standard {
    const char *name;
    double first_s, second_s;
    double first_it, second_it; /* multiples of I_t */
} standards[] = {
    {"IEC 61960-3", 10, 1, 0.2, 1},
    {"IEC 62620", 30, 5, 0.2, 1},
};

static double length(const struct phase *phase)
{
    return phase->end_s - phase->start_s;
}

/* Rest, a first pulse of a few times ten seconds, a second and larger one of a few seconds. */
static bool is_pair(const struct findings *findings, size_t k)
{
    if (k == 0 || k + 1 >= findings->phase_count)
        return false;
    const struct phase *first = &findings->phases[k], *second = first + 1;
    return first[-1].kind == RUN_REST && first->kind == RUN_DISCHARGE && second->kind == RUN_DISCHARGE &&
           first->run == second->run && length(first) >= 5 && length(first) <= 60 && length(second) >= 0.5 &&
           length(second) <= 10 && second->mean_a > 2 * first->mean_a;
}

static const struct standard *nearest(const struct phase *first)
{
    double to10 = fabs(log(length(first) / standards[0].first_s));
    double to30 = fabs(log(length(first) / standards[1].first_s));
    return &standards[to30 < to10];
}

__attribute__((format(printf, 2, 3))) static void depart(struct pulse_pair *pair, const char *format, ...)
{
    size_t used = strlen(pair->deviation);
    if (used > 0 && used + 2 < sizeof pair->deviation) {
        memcpy(pair->deviation + used, "; ", 3);
        used += 2;
    }
    va_list args;
    va_start(args, format);
    vsnprintf(pair->deviation + used, sizeof pair->deviation - used, format, args);
    va_end(args);
}

/* A twentieth, or for times what the sampling leaves open. */
static void name_departures(const struct standard *standard, const struct phase *first, double rated_ah,
                            double open_s, struct pulse_pair *pair)
{
    const double slack = 0.05;
    if (fabs(length(first) - standard->first_s) > fmax(open_s, slack * standard->first_s))
        depart(pair, "first pulse %.3g s, not %g s", length(first), standard->first_s);
    if (length(first + 1) < standard->second_s - fmax(open_s, slack * standard->second_s))
        depart(pair, "second pulse %.3g s, not %g s", length(first + 1), standard->second_s);
    if (isnan(rated_ah)) {
        depart(pair, "I_t not known");
        return;
    }
    if (fabs(pair->i1_a / rated_ah - standard->first_it) > slack * standard->first_it)
        depart(pair, "I1 %.3g I_t, not %g", pair->i1_a / rated_ah, standard->first_it);
    if (fabs(pair->i2_a / rated_ah - standard->second_it) > slack * standard->second_it)
        depart(pair, "I2 %.3g I_t, not %g", pair->i2_a / rated_ah, standard->second_it);
}

static const struct step *step_after(const struct findings *findings, const struct phase *phase)
{
    for (size_t k = 0; k < findings->step_count; k++)
        if (findings->steps[k].before == phase->last)
            return &findings->steps[k];
    return NULL;
}

void pulse_pairs_find(const struct series *series, const struct trace *trace, const struct rig *rig,
                      const struct asked *asked, struct findings *findings)
{
    size_t capacity = 0;
    for (size_t k = 0; k < findings->phase_count && findings->pair_count < PAIRS_MOST; k++) {
        const struct phase *first = &findings->phases[k];
        const struct step *step = is_pair(findings, k) ? step_after(findings, first) : NULL;
        if (step == NULL || trace->v == NULL)
            continue;
        const struct standard *standard = nearest(first);
        double open_s = 2 * step->at_halfwidth_s;
        double delay_s = fmin(standard->second_s, trace->t_s[first[1].last] - step->at_s);
        struct pulse_pair pair = {
            .at_s = step->at_s, .i1_a = first->mean_a, .i2_a = first[1].mean_a, .u1_v = NAN, .u2_v = NAN};
        pair.ohm =
            resistance_between(series, trace, rig, findings, first, step, delay_s, &pair.u1_v, &pair.u2_v);
        name_departures(standard, first, asked->rated_ah, open_s, &pair);
        if (pair.deviation[0] != '\0')
            depart(&pair, "held against %s", standard->name);
        findings->pairs = memory_grow(findings->pairs, findings->pair_count, &capacity);
        findings->pairs[findings->pair_count++] = pair;
    }
}
