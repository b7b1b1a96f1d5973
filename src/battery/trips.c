#include "battery/trips.h"

#include "battery/probe_lag.h"
#include "numeric/budget.h"
#include "numeric/linefit.h"

#include <math.h>
#include <stdio.h>

static const double treated_k = 8;      /* of change within a run: somebody heats or chills (common practice, no source) */
static const double around_s = 15;      /* of an instant: what its temperature is taken from, at least */
static const double most_lag_s = 60;    /* a probe in air whose lag nobody states (common practice, no source) */
static const double heard_before_s = 1800; /* a mark that long before is no stimulus of a trip any more */

const char *trip_way_name(enum trip_way way)
{
    static const char *const names[] = {"", "cold", "hot"};
    return names[way];
}

static struct measure probe_tau(const struct rig *rig)
{
    struct measure tau = measure_unknown("the rig does not state the probe's lag");
    if (isnan(rig->probe_tau_s))
        return tau;
    tau = measure_of(rig->probe_tau_s);
    measure_part(&tau, (struct part){.cause = CAUSE_FIT, .shape = SHAPE_NORMAL, .u = rig->probe_tau_s / 10, .dof = INFINITY,
                                     .what = "lag of the probe as stated, to a tenth", .remedy = ""});
    budget_close(&tau);
    return tau;
}

/* With what the thermometer itself may be off. */
static struct measure place_degc(const struct series *series, const struct rig *rig, double at_s)
{
    const double *degc = series->column[CHANNEL_TEMPERATURE];
    if (degc == NULL)
        return measure_unknown("no temperature was read at the sensor");
    size_t k = 0;
    while (k + 1 < series->count && series->t_s[k + 1] < at_s)
        k++;
    double step_s = k + 1 < series->count ? series->t_s[k + 1] - series->t_s[k] : 1;
    struct measure tau = probe_tau(rig);
    struct measure place = probe_lag_place(series->t_s, degc, series->count, at_s, fmax(around_s, 4 * step_s), &tau, most_lag_s);
    if (!measure_known(&place))
        return place;
    const struct accuracy *accuracy = &rig->of[CHANNEL_TEMPERATURE];
    double offset = accuracy_offset(accuracy, series->resolution[CHANNEL_TEMPERATURE]);
    measure_part(&place, (struct part){.cause = CAUSE_OFFSET_OTHER, .shape = SHAPE_RECTANGULAR,
                                       .u = (offset + accuracy->gain * fabs(place.value)) / sqrt(3), .dof = INFINITY,
                                       .source = rig_source(rig, CHANNEL_TEMPERATURE, ERROR_OFFSET),
                                       .what = "thermometer", .remedy = "hold it against ice water"});
    budget_close(&place);
    return place;
}

static double slope_at(const struct series *series, double at_s)
{
    const double *degc = series->column[CHANNEL_TEMPERATURE];
    double t[256], y[256];
    size_t n = 0;
    for (size_t k = 0; degc != NULL && k < series->count && n < 256; k++) {
        if (series->t_s[k] >= at_s - 2 * around_s && series->t_s[k] <= at_s && isfinite(degc[k])) {
            t[n] = series->t_s[k] - at_s;
            y[n++] = degc[k];
        }
    }
    struct linefit line;
    if (n < 3 || linefit(t, y, NULL, n, &line) != ANSWER_OK || fabs(line.slope) < 2 * line.u_slope)
        return NAN;
    return line.slope;
}

/* The last mark before the trip that is about the sensor, the supply or the load at all. */
static const struct mark *stimulus_of(const struct series *series, double at_s, double not_before_s)
{
    const struct mark *last = NULL;
    for (size_t k = 0; k < series->mark_count; k++)
        if (series->marks[k].t_s <= at_s && series->marks[k].t_s >= fmax(not_before_s, at_s - heard_before_s))
            last = &series->marks[k];
    return last;
}

static bool has_word(const char *words, const char *const *list)
{
    for (; *list != NULL; list++)
        if (span_has_word(span_of(words), *list))
            return true;
    return false;
}

/* By the words of the mark, else by a temperature that somebody must have moved: a pack that warms by itself while it
 * is charged, and stops because it is full, was stopped by no temperature. */
static enum trip_way way_of(const struct trip *trip, double moved_k)
{
    static const char *const hot[] = {"heated", "heat", "hot", "warm", "warmed", "dryer", NULL};
    static const char *const cold[] = {"chilled", "chill", "cold", "ice", "cool", "cooled", "freeze", "frozen", NULL};
    bool is_hot = has_word(trip->stimulus, hot), is_cold = has_word(trip->stimulus, cold);
    if (is_hot != is_cold)
        return is_hot ? TRIP_HOT : TRIP_COLD;
    if (!trip->charging || !(fabs(moved_k) >= treated_k))
        return TRIP_UNKNOWN;
    return moved_k < 0 ? TRIP_COLD : TRIP_HOT;
}

/* How far the temperature has gone since the run began. */
static double moved_since(const struct series *series, double from_s, double to_s)
{
    const double *degc = series->column[CHANNEL_TEMPERATURE];
    double first = NAN, last = NAN;
    for (size_t k = 0; degc != NULL && k < series->count && series->t_s[k] <= to_s; k++) {
        if (series->t_s[k] < from_s || !isfinite(degc[k]))
            continue;
        first = isnan(first) ? degc[k] : first;
        last = degc[k];
    }
    return last - first;
}

static double half_interval_s(const struct series *series, double at_s)
{
    for (size_t k = 1; k < series->count; k++)
        if (series->t_s[k] > at_s)
            return (series->t_s[k] - series->t_s[k - 1]) / 2;
    return NAN;
}

static struct measure delay_from(const struct mark *mark, const struct trip *trip, const struct rig *rig)
{
    if (mark == NULL)
        return measure_unknown("no mark says when the stimulus began");
    struct measure delay = measure_of(trip->at_s - mark->t_s);
    measure_part(&delay, (struct part){.cause = CAUSE_SAMPLING, .shape = SHAPE_RECTANGULAR, .u = trip->at_halfwidth_s / sqrt(3),
                                       .dof = INFINITY, .what = "when between two readings it stopped",
                                       .remedy = "read more often"});
    measure_part(&delay, (struct part){.cause = CAUSE_CLOCK, .shape = SHAPE_RECTANGULAR, .u = fmax(rig->frame_s, 0.5) / sqrt(3),
                                       .dof = INFINITY, .what = "instant of the mark", .remedy = "take it from a film"});
    budget_close(&delay);
    return delay;
}

/* The next run of the same kind, when nothing but rest lies between. */
static const struct run *release_of(const struct findings *findings, size_t r)
{
    for (size_t k = r + 1; k < findings->run_count; k++) {
        if (findings->runs[k].kind == findings->runs[r].kind)
            return &findings->runs[k];
        if (findings->runs[k].kind != RUN_REST)
            return NULL;
    }
    return NULL;
}

static struct trip trip_of(const struct series *series, const struct rig *rig, const struct findings *findings, size_t r,
                           double not_before_s)
{
    const struct run *run = &findings->runs[r], *release = release_of(findings, r);
    struct trip trip = {.run = r, .charging = run->kind == RUN_CHARGE, .at_s = run->end_s, .from_a = fabs(run->mean_a),
                        .released_s = NAN, .released_halfwidth_s = NAN};
    trip.at_halfwidth_s = half_interval_s(series, run->end_s);
    trip.slope_k_per_s = slope_at(series, trip.at_s);
    const struct mark *mark = stimulus_of(series, trip.at_s, not_before_s);
    if (mark != NULL)
        snprintf(trip.stimulus, sizeof trip.stimulus, "%s", mark->words);
    trip.delay_s = delay_from(mark, &trip, rig);
    trip.way = way_of(&trip, moved_since(series, run->start_s, trip.at_s));
    trip.trip_degc = place_degc(series, rig, trip.at_s);
    trip.release_degc = measure_unknown("the readings show no release");
    trip.hysteresis_k = trip.release_degc;
    if (release == NULL)
        return trip;
    trip.released_s = release->start_s;
    trip.released_halfwidth_s = half_interval_s(series, release->start_s);
    trip.release_degc = place_degc(series, rig, trip.released_s);
    if (measure_known(&trip.trip_degc) && measure_known(&trip.release_degc)) {
        double sign = trip.way == TRIP_HOT ? 1 : -1;
        trip.hysteresis_k = measure_sum(&trip.trip_degc, sign, &trip.release_degc, -sign);
        budget_close(&trip.hysteresis_k);
    }
    return trip;
}

size_t trips_find(const struct series *series, const struct rig *rig, const struct findings *findings,
                  struct trip ret_trips[static TRIPS])
{
    size_t count = 0;
    double last_s = -INFINITY;
    for (size_t r = 0; r < findings->run_count && count < TRIPS; r++) {
        const struct run *run = &findings->runs[r];
        if (run->kind == RUN_REST || run->ended.by != ENDED_BMS)
            continue;
        ret_trips[count] = trip_of(series, rig, findings, r, last_s);
        last_s = ret_trips[count++].at_s;
    }
    return count;
}

struct measure trips_pooled(const struct trip *trips, size_t count, bool charging, enum trip_way way, bool release)
{
    struct measure sum = measure_unknown("no such trip with a temperature");
    double mean = 0, squares = 0;
    size_t n = 0;
    for (size_t k = 0; k < count; k++) {
        const struct measure *one = release ? &trips[k].release_degc : &trips[k].trip_degc;
        if (trips[k].charging != charging || trips[k].way != way || !measure_known(one))
            continue;
        sum = n == 0 ? *one : measure_sum(&sum, 1, one, 1);
        n++;
        double step = one->value - mean;
        mean += step / (double)n;
        squares += step * (one->value - mean);
    }
    if (n < 2)
        return sum;
    sum = measure_scale(&sum, 1 / (double)n);
    measure_part(&sum, (struct part){.cause = CAUSE_NOISE, .shape = SHAPE_T, .u = sqrt(squares / (double)(n - 1) / (double)n),
                                     .dof = (double)(n - 1), .what = "scatter of the repeats", .remedy = "repeat it"});
    budget_close(&sum);
    return sum;
}
