#include "battery/direction.h"

#include "battery/envelope.h"
#include "battery/rest.h"
#include "numeric/stats.h"

/* Volts and amps may be read one row apart, and stale volts repeated: look this far past a step. */
enum { REACH = 3 };

/* So many standard deviations of one reading do not part two of them by chance, even where the noise is taken
 * for half of what it is: one step may be all there is to tell by, and volts that lag a row show only noise. */
#define STANDS_OUT 8

#define CHARGER_SHARE 0.98 /* of the highest volts: above it a charger may stand by itself; our convention */

struct evidence {
    double falls, rises; /* weight of volts that fall as current (as logged) grows, and that rise */
    size_t count;
};

static void weigh(struct evidence *evidence, double da, double dv)
{
    *(da * dv < 0 ? &evidence->falls : &evidence->rises) += fabs(da * dv);
    evidence->count++;
}

/* Volts below this belong to a terminal that has gone dark: when a BMS opens, current and volts fall
 * together, which says nothing about a load. Half of what is usual; no sample under load comes there. */
static double dark_below(const struct trace *trace)
{
    enum { LOOKS = 255 };
    double seen[LOOKS], work[LOOKS];
    size_t count = 0, stride = trace->count / LOOKS + 1;
    for (size_t k = 0; k < trace->count && count < LOOKS; k += stride)
        seen[count++] = trace->v[k];
    return 0.5 * stats_median(seen, count, work);
}

/* A step may take several readings, where each is the mean of a while: the last of it, `k` being the reading before. */
static size_t step_end(const struct trace *trace, size_t k, double jump_a)
{
    const double *a = trace->a;
    size_t end = k + 1;
    while (end < k + REACH && end + 1 < trace->count && (a[end + 1] - a[end]) * (a[k + 1] - a[k]) > 0 &&
           fabs(a[end + 1] - a[end]) > jump_a)
        end++;
    return end;
}

/* The volts' response to each jump of the current by more than a tenth of its whole range; volts above `most_v` are
 * left out. */
static struct evidence from_steps(const struct trace *trace, const struct envelope *envelope, double jump_a,
                                  double noise_v, double most_v)
{
    enum { MOST = 4096 };
    double dark_v = dark_below(trace);
    struct evidence evidence = {0};
    for (size_t b = 0; b < envelope->blocks && evidence.count < MOST; b++) {
        if (envelope->hi[b] - envelope->lo[b] <= jump_a)
            continue;
        size_t end = (b + 1) * ENVELOPE_BLOCK;
        for (size_t k = b * ENVELOPE_BLOCK; k < end && k + 1 < trace->count; k++) {
            if (fabs(trace->a[k + 1] - trace->a[k]) <= jump_a)
                continue;
            size_t before = k, after = step_end(trace, k, jump_a);
            for (int r = 0; r < REACH && fabs(trace->v[after] - trace->v[before]) <= noise_v; r++) {
                before -= before > 0;
                after += after + 1 < trace->count;
            }
            double da = trace->a[after] - trace->a[before], dv = trace->v[after] - trace->v[before];
            size_t later = after + REACH < trace->count ? after + REACH : trace->count - 1;
            bool dark = fmin(fmin(trace->v[before], trace->v[after]), trace->v[later]) < dark_v; /* or soon */
            bool above = fmax(trace->v[before], trace->v[after]) > most_v;
            if (!dark && !above && fabs(da) > jump_a && fabs(dv) > noise_v)
                weigh(&evidence, da, dv);
            k = after - 1;
        }
    }
    return evidence;
}

/* The volts' way while a current flows on: the integral of I dV over what lies between the steps. */
static struct evidence from_trend(const struct trace *trace, double jump_a, double working_a)
{
    enum { POINTS = 64 }; /* far enough apart for the trend to stand over the noise */
    struct evidence evidence = {0};
    size_t stride = trace->count / POINTS + 1;
    for (size_t k = 0; k + stride < trace->count; k += stride) {
        double from = trace->a[k], to = trace->a[k + stride];
        if (fabs(to - from) <= jump_a && fabs(from + to) / 2 > REST_SHARE * working_a)
            weigh(&evidence, (from + to) / 2, trace->v[k + stride] - trace->v[k]);
    }
    return evidence;
}

static double highest(const struct trace *trace)
{
    double most = trace->v[0];
    for (size_t k = 1; k < trace->count; k++)
        most = fmax(most, trace->v[k]);
    return most;
}

static double decided(const struct evidence *evidence)
{
    double all = evidence->falls + evidence->rises;
    return all > 0 ? (evidence->falls - evidence->rises) / all : 0;
}

static struct direction cannot_tell(const char *why)
{
    struct direction direction = {0};
    snprintf(direction.why, sizeof direction.why, "%s", why);
    return direction;
}

static struct direction told(double balance, const struct evidence *evidence, const char *by)
{
    struct direction direction = {.sign = balance > 0 ? 1 : -1, .weight = (1 + fabs(balance)) / 2};
    snprintf(direction.why, sizeof direction.why,
             "%s (%zu %s, %.0f %% agree): the log counts %s as positive", by, evidence->count, evidence->count == 1 ? "place" : "places",
             100 * direction.weight, balance > 0 ? "discharge" : "charge");
    return direction;
}

/* Settled from the readings once the current stands out of its noise. */
static struct direction decide(const struct trace *trace, const struct envelope *envelope)
{
    const double enough = 0.5; /* three parts of the evidence against one */
    size_t last = trace->count - 1;
    double lo = envelope->lo[0], hi = envelope->hi[0];
    for (size_t b = 1; b < envelope->blocks; b++) {
        lo = fmin(lo, envelope->lo[b]);
        hi = fmax(hi, envelope->hi[b]);
    }
    struct noise a = noise_between(trace->t_s, trace->a, 0, last),
                 v = noise_between(trace->t_s, trace->v, 0, last);
    double working = working_current(trace, envelope).current_a;
    double jump = fmax((hi - lo) / 10, 10 * fmax(a.sd, a.step));
    struct evidence trend = from_trend(trace, jump, working);
    struct evidence steps = from_steps(trace, envelope, jump, STANDS_OUT * fmax(v.sd, v.step), INFINITY);
    bool doubted = decided(&steps) * decided(&trend) < 0 && fabs(decided(&trend)) >= enough;
    if (fabs(decided(&steps)) >= enough && !doubted)
        return told(decided(&steps), &steps, "volts at the steps of the current");
    /* A charger whose pack has opened drives the volts up to its own as its current stops: those steps go the other way,
     * and may be the larger part of all. */
    steps = from_steps(trace, envelope, jump, STANDS_OUT * fmax(v.sd, v.step), CHARGER_SHARE * highest(trace));
    if (fabs(decided(&steps)) >= enough)
        return told(decided(&steps), &steps, "volts at the steps of the current, but for those to the highest volts");
    if (steps.count > 0 || doubted)
        return cannot_tell("at the steps of the current the volts go both ways");
    if (working < fmax(5 * a.sd, 20 * a.step))
        return cannot_tell("no current that stands out of noise and digits, and no step");
    if (fabs(decided(&trend)) >= enough && fabs(trace->v[last] - trace->v[0]) > 10 * fmax(v.sd, v.step))
        return told(decided(&trend), &trend, "no step; volts while current flows");
    return cannot_tell("no step of the current, and the volts show no clear trend");
}

struct direction direction_find(const struct trace *trace)
{
    if (trace->v == NULL)
        return cannot_tell("the log has no voltage to tell charge from discharge by");
    if (trace->count < 3)
        return cannot_tell("fewer than three readings with volts and amps");
    struct envelope envelope;
    if (!envelope_of(trace->a, trace->count, &envelope))
        return cannot_tell("not enough memory");
    struct direction direction = decide(trace, &envelope);
    envelope_free(&envelope);
    return direction;
}

/* Does a channel run with the oriented current (above 0) or against it? The current's magnitude weighs; a
 * tally's rises and falls count by their sign alone, since a reset may be as large as all of it. */
static double agreement(const double *amps, const double *other, size_t n, bool tally)
{
    double sum = 0;
    for (size_t k = 1; k < n; k++) {
        double with = tally ? other[k] - other[k - 1] : other[k];
        double both = (with > 0 ? 1 : with < 0 ? -1 : 0) * amps[k];
        if (isfinite(both))
            sum += both;
    }
    return sum;
}

static void turn(double *x, size_t n)
{
    for (size_t k = 0; k < n; k++)
        x[k] = 0 - x[k]; /* nothing stays nothing, not -0 */
}

void direction_apply(struct series *series, int sign)
{
    double *amps = series->column[CHANNEL_CURRENT], *watts = series->column[CHANNEL_POWER];
    size_t n = series->count;
    if (sign < 0 && amps != NULL)
        turn(amps, n);
    else if (sign < 0 && watts != NULL)
        turn(watts, n);
    const double *flow = amps != NULL ? amps : watts;
    if (flow != NULL) {
        if (amps != NULL && watts != NULL && agreement(amps, watts, n, false) < 0)
            turn(watts, n);
        double *ah = series->column[CHANNEL_CHARGE_TALLY], *wh = series->column[CHANNEL_ENERGY_TALLY];
        if (ah != NULL && agreement(flow, ah, n, true) < 0)
            turn(ah, n);
        if (wh != NULL && agreement(flow, wh, n, true) < 0)
            turn(wh, n);
    }
    series->oriented = true;
}
