#include "battery/trips.h"

#include "base/memory.h"
#include "battery/fullness.h"
#include "battery/probe_lag.h"
#include "battery/rows_before.h"
#include "battery/trip_judge.h"
#include "battery/trip_stimulus.h"
#include "numeric/budget.h"
#include "numeric/linefit.h"

#include <math.h>
#include <stdio.h>

static const double around_s = 15;   /* of an instant: what its temperature is taken from, at least */
static const double most_lag_s = 60; /* a probe in air whose lag nobody states (common practice, no source) */

/* What one search works with. */
struct scene {
    const struct series *series;
    const struct rig *rig;
    const struct asked *asked;
    const struct findings *findings;
    const struct told *told; /* the marks */
    size_t told_count;
};

/* Rows of the series from `from_s` to `to_s`, both included; false without any. */
static bool rows_within(const struct series *series, double from_s, double to_s, size_t *ret_first, size_t *ret_count)
{
    *ret_first = rows_before(series->t_s, series->count, from_s);
    size_t end = rows_before(series->t_s, series->count, nextafter(to_s, INFINITY));
    *ret_count = end - *ret_first;
    return *ret_count > 0;
}

static double step_at(const struct series *series, double at_s)
{
    size_t after = rows_before(series->t_s, series->count, at_s);
    return after > 0 && after < series->count ? series->t_s[after] - series->t_s[after - 1] : NAN;
}

/* With what the thermometer itself may be off. */
static struct measure place_degc(const struct scene *scene, double at_s)
{
    const struct series *series = scene->series;
    const double *degc = series->column[CHANNEL_TEMPERATURE];
    if (degc == NULL)
        return measure_unknown("no temperature was read at the sensor");
    double step_s = step_at(series, at_s), half_s = fmax(around_s, 4 * (isnan(step_s) ? 1 : step_s));
    size_t first, n;
    if (!rows_within(series, at_s - half_s, at_s + half_s, &first, &n))
        return measure_unknown("no temperature was read within %.3g s of it", half_s);
    struct measure tau = trip_probe_tau(scene->rig);
    struct measure place = probe_lag_place(series->t_s + first, degc + first, n, at_s, half_s, &tau, most_lag_s);
    trip_add_thermometer(&place, scene->rig, series->resolution[CHANNEL_TEMPERATURE]);
    return place;
}

/* Of the place's temperature over the lag that the pack's sensor may have. A probe that lags follows a ramp with the
 * ramp's own slope. */
static double slope_before(const struct series *series, double at_s, double *ret_u)
{
    enum { MOST = 512 };
    const double *degc = series->column[CHANNEL_TEMPERATURE];
    double t[MOST], y[MOST];
    size_t first, rows, n = 0;
    *ret_u = NAN;
    if (degc == NULL || !rows_within(series, at_s - TRIP_LAG_MOST_S, at_s, &first, &rows))
        return NAN;
    for (size_t k = first, stride = rows / MOST + 1; k < first + rows; k += stride) {
        if (isfinite(degc[k])) {
            t[n] = series->t_s[k] - at_s;
            y[n++] = degc[k];
        }
    }
    struct linefit line;
    if (n < 3 || t[n - 1] - t[0] < TRIP_LAG_MOST_S / 2 || linefit(t, y, NULL, n, &line) != ANSWER_OK)
        return NAN;
    *ret_u = line.u_slope;
    return line.slope;
}

/* How far the temperature has gone within the run: the first of it and the last that were read. */
static double moved_within(const struct series *series, const struct run *run)
{
    const double *degc = series->column[CHANNEL_TEMPERATURE];
    size_t first, n;
    if (degc == NULL || !rows_within(series, run->start_s, run->end_s, &first, &n))
        return NAN;
    size_t last = first + n - 1;
    while (first < last && !isfinite(degc[first]))
        first++;
    while (last > first && !isfinite(degc[last]))
        last--;
    return degc[last] - degc[first];
}

/* How long the last phase stood, when the current was raised to it. */
static double raised_for_s(const struct findings *findings, const struct run *run)
{
    const struct phase *last = &findings->phases[run->first_phase + run->phases - 1];
    if (run->phases > 1 && fabs(last->mean_a) < RAISED_BY * fabs(last[-1].mean_a))
        return NAN;
    return last->end_s - last->start_s;
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

static void take_release(const struct scene *scene, const struct run *release, struct trip *trip)
{
    double slope_u;
    trip->released_s = release->start_s;
    trip->released_halfwidth_s = step_at(scene->series, release->start_s) / 2;
    trip->release_degc = place_degc(scene, trip->released_s);
    trip->release_slope_k_per_s = slope_before(scene->series, trip->released_s, &slope_u);
    trip->release_threshold_degc = trip_threshold(&trip->release_degc, trip->release_slope_k_per_s, slope_u);
}

static bool above_knee(const struct asked *asked, const struct run *run)
{
    return asked->lithium_iron_phosphate && run->ended.end_cell_v >= KNEE_CELL_V;
}

static struct trip trip_of(const struct scene *scene, size_t r, double not_before_s)
{
    const struct findings *findings = scene->findings;
    const struct run *run = &findings->runs[r], *release = release_of(findings, r);
    const struct phase *last = &findings->phases[run->first_phase + run->phases - 1];
    struct trip trip = {.run = r, .charging = run->kind == RUN_CHARGE, .at_s = run->end_s, .from_a = fabs(last->mean_a),
                        .released_s = NAN, .released_halfwidth_s = NAN, .release_slope_k_per_s = NAN};
    double step_s = step_at(scene->series, run->end_s), slope_u;
    trip.at_halfwidth_s = step_s / 2;
    snprintf(trip.resolution, sizeof trip.resolution, "readings %.3g s apart", step_s);
    const struct told *stimulus = stimulus_find(scene->told, scene->told_count, trip.at_s, not_before_s);
    if (stimulus != NULL)
        snprintf(trip.stimulus, sizeof trip.stimulus, "%s", stimulus->words);
    trip.delay_s = trip_delay(stimulus, &trip);
    trip.slope_k_per_s = slope_before(scene->series, trip.at_s, &slope_u);
    trip.trip_degc = place_degc(scene, trip.at_s);
    trip.threshold_degc = trip_threshold(&trip.trip_degc, trip.slope_k_per_s, slope_u);
    trip.release_degc = trip.release_threshold_degc = measure_unknown("the readings show no release");
    if (release != NULL)
        take_release(scene, release, &trip);
    struct trip_signs signs = {.low = run->ended.low, .above_knee = above_knee(scene->asked, run),
                               .moved_k = moved_within(scene->series, run), .raised_for_s = raised_for_s(findings, run)};
    trip.way = trip_way_of(&trip, &signs);
    trip_close(&trip, scene->rig->sense_leads);
    return trip;
}

size_t trips_find(const struct series *series, const struct rig *rig, const struct asked *asked,
                  const struct findings *findings, struct trip ret_trips[static TRIPS])
{
    struct told *told = memory_get((series->mark_count + 1) * sizeof *told);
    for (size_t k = 0; k < series->mark_count; k++)
        told[k] = (struct told){series->marks[k].t_s, rig->frame_s > 0 ? rig->frame_s : MARKED_WITHIN_S,
                               series->marks[k].words};
    struct scene scene = {series, rig, asked, findings, told, series->mark_count};
    size_t count = 0;
    double last_s = -INFINITY;
    for (size_t r = 0; r < findings->run_count && count < TRIPS; r++) {
        const struct run *run = &findings->runs[r];
        if (run->kind == RUN_REST || run->ended.by != ENDED_BMS)
            continue;
        ret_trips[count] = trip_of(&scene, r, last_s);
        last_s = ret_trips[count++].at_s;
    }
    free(told);
    return count;
}

static const struct measure *value_of(const struct trip *trip, enum trip_value value)
{
    const struct measure *const of[TRIP_VALUES] = {
        [TRIP_DEGC] = &trip->trip_degc, [TRIP_RELEASE_DEGC] = &trip->release_degc, [TRIP_THRESHOLD] = &trip->threshold_degc,
        [TRIP_RELEASE_THRESHOLD] = &trip->release_threshold_degc, [TRIP_HYSTERESIS] = &trip->hysteresis_k};
    return of[value];
}

struct measure trips_pooled(const struct trip *trips, size_t count, bool charging, enum trip_way way, enum trip_value value)
{
    struct measure sum = measure_unknown("no such trip with a temperature");
    double mean = 0, squares = 0;
    size_t n = 0;
    for (size_t k = 0; k < count; k++) {
        const struct measure *one = value_of(&trips[k], value);
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
