#include "battery/trips.h"

#include "battery/fullness.h"
#include "battery/probe_lag.h"
#include "battery/trip_judge.h"
#include "battery/watched.h"
#include "numeric/budget.h"
#include "numeric/linefit.h"

#include <math.h>
#include <stdio.h>

static const double around_s = 15;   /* of an instant: what its temperature is taken from, at least */
static const double most_lag_s = 60; /* a probe in air whose lag nobody states (common practice, no source) */
static const double by_eye_s = 600;  /* temperatures read by eye further from it say nothing of it */

static struct measure lag_of(const struct watched *w, double slope_k_per_s)
{
    struct measure tau = trip_probe_tau(w->rig), lag = measure_of(slope_k_per_s * most_lag_s / 2);
    bool known = measure_known(&tau);
    if (known)
        lag.value = slope_k_per_s * tau.value;
    measure_part(&lag, (struct part){.cause = CAUSE_CONDITIONS, .shape = known ? SHAPE_NORMAL : SHAPE_RECTANGULAR,
                                     .u = slope_k_per_s * (known ? tau.u : most_lag_s / 2 / sqrt(3)), .dof = INFINITY,
                                     .source = PROBE_LAG_SOURCE, .what = "lag of the probe",
                                     .remedy = "heat or chill more slowly, or measure the probe's lag"});
    return lag;
}

/* Read by eye: the place's temperature is anywhere between what was read before and after. */
static struct measure place_between(const struct watched *w, double at_s)
{
    double before_s = NAN, after_s = NAN, before = 0, after = 0;
    for (size_t k = 0; k < w->count && isnan(after_s); k++) {
        if (isnan(w->degc[k]) || fabs(w->t_s[k] - at_s) > by_eye_s)
            continue;
        if (w->t_s[k] < at_s)
            before_s = w->t_s[k], before = w->degc[k];
        else
            after_s = w->t_s[k], after = w->degc[k];
    }
    if (isnan(before_s) || isnan(after_s))
        return measure_unknown("no temperatures were read both before and after within %.0f min", by_eye_s / 60);
    struct measure place = measure_of((before + after) / 2);
    measure_part(&place, (struct part){.cause = CAUSE_SAMPLING, .shape = SHAPE_RECTANGULAR, .u = (after - before) / 2 / sqrt(3),
                                       .dof = INFINITY, .what = "between the readings before and after",
                                       .remedy = "read the temperature when it stops"});
    struct measure lag = lag_of(w, after_s > before_s ? (after - before) / (after_s - before_s) : 0);
    return measure_sum(&place, 1, &lag, 1);
}

/* Of the temperature read by eye last before; 0 of a log. */
static double read_half_degc(const struct watched *w, double at_s)
{
    double half = watched_last(w, w->half_degc, at_s, by_eye_s);
    return isnan(half) ? 0 : half;
}

/* With what the thermometer itself may be off. */
static struct measure place_degc(const struct watched *w, double at_s)
{
    if (w->degc == NULL)
        return measure_unknown("no temperature was read at the sensor");
    if (!w->timed)
        return measure_unknown("the readings have no clock in common");
    double edge_s = watched_edge_s(w, at_s), half_s = fmax(around_s, 8 * (isnan(edge_s) ? 0.5 : edge_s));
    struct measure place, tau = trip_probe_tau(w->rig);
    size_t first, n;
    if (w->by_eye)
        place = place_between(w, at_s);
    else if (!watched_rows(w, at_s - half_s, at_s + half_s, &first, &n))
        return measure_unknown("no temperature was read within %.3g s of it", half_s);
    else
        place = probe_lag_place(w->t_s + first, w->degc + first, n, at_s, half_s, &tau, most_lag_s);
    if (!measure_known(&place))
        return place;
    watched_add_degc(w, place.value, read_half_degc(w, at_s), &place);
    budget_close(&place);
    return place;
}

/* Of the place's temperature over the lag that the pack's sensor may have; a probe that lags follows a ramp with the
 * ramp's own slope. By eye over the last few readings, however far back they go. */
static double slope_before(const struct watched *w, double at_s, double *ret_u)
{
    enum { MOST = 512, BY_EYE = 4 };
    double t[MOST], y[MOST];
    size_t first, rows, n = 0;
    *ret_u = NAN;
    if (w->degc == NULL || !w->timed || !watched_rows(w, at_s - (w->by_eye ? by_eye_s : TRIP_LAG_MOST_S), at_s, &first, &rows))
        return NAN;
    for (size_t k = first, stride = rows / MOST + 1; k < first + rows; k += stride) {
        if (isfinite(w->degc[k])) {
            t[n] = w->t_s[k] - at_s;
            y[n++] = w->degc[k];
        }
    }
    size_t skip = w->by_eye && n > BY_EYE ? n - BY_EYE : 0;
    struct linefit line;
    if (n < 3 || t[n - 1] - t[skip] < TRIP_LAG_MOST_S / 2 || linefit(t + skip, y + skip, NULL, n - skip, &line) != ANSWER_OK)
        return NAN;
    *ret_u = hypot(line.u_slope, read_half_degc(w, at_s) / (t[n - 1] - t[skip]));
    return line.slope;
}

/* How far the temperature has gone within the run: the first of it and the last that were read. */
static double moved_within(const struct watched *w, const struct run *run)
{
    size_t first, n;
    if (w->degc == NULL || !watched_rows(w, run->start_s, run->end_s, &first, &n))
        return NAN;
    size_t last = first + n - 1;
    while (first < last && !isfinite(w->degc[first]))
        first++;
    while (last > first && !isfinite(w->degc[last]))
        last--;
    return w->degc[last] - w->degc[first];
}

/* How long the last phase stood, when the current was raised to it; a charge that just began may be refused for anything. */
static double raised_for_s(const struct findings *findings, const struct run *run)
{
    const struct phase *last = &findings->phases[run->first_phase + run->phases - 1];
    if (run->phases > 1 ? fabs(last->mean_a) < RAISED_BY * fabs(last[-1].mean_a) : run->kind == RUN_CHARGE)
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

static void take_release(const struct watched *w, const struct run *release, struct trip *trip)
{
    double slope_u;
    trip->released_s = release->start_s;
    trip->released_halfwidth_s = watched_edge_s(w, release->start_s);
    trip->release_degc = place_degc(w, trip->released_s);
    trip->release_slope_k_per_s = slope_before(w, trip->released_s, &slope_u);
    trip->release_threshold_degc = trip_threshold(&trip->release_degc, trip->release_slope_k_per_s, slope_u);
}

static void say_resolution(const struct watched *w, struct trip *trip)
{
    if (!w->timed)
        snprintf(trip->resolution, sizeof trip->resolution, "the readings have no clock in common");
    else if (w->rig->frame_s > 0 && trip->at_halfwidth_s <= 2 * w->rig->frame_s)
        snprintf(trip->resolution, sizeof trip->resolution, "frames of a film, ± %.2g s", trip->at_halfwidth_s);
    else
        snprintf(trip->resolution, sizeof trip->resolution, "readings %.3g s apart",
                 2 * (trip->at_halfwidth_s - w->rig->averaging_s));
}

static struct trip trip_of(const struct watched *w, size_t r, const struct trip *before)
{
    const struct findings *findings = w->findings;
    const struct run *run = &findings->runs[r], *release = release_of(findings, r);
    struct trip trip = {.run = r, .charging = run->kind == RUN_CHARGE, .at_s = run->end_s, .released_s = NAN, .released_halfwidth_s = NAN, .release_slope_k_per_s = NAN};
    double slope_u;
    trip.from_a = watched_end_a(w, run).value;
    trip.at_halfwidth_s = watched_edge_s(w, run->end_s);
    say_resolution(w, &trip);
    const struct told *stimulus = stimulus_find(w->told, w->told_count, trip.at_s,
                                                before != NULL ? before->at_s : -INFINITY);
    if (stimulus != NULL)
        snprintf(trip.stimulus, sizeof trip.stimulus, "%s", stimulus->words);
    stimulus_place(w->told, w->told_count, trip.at_s, trip.place, sizeof trip.place);
    trip.delay_s = w->timed ? trip_delay(stimulus, &trip) : measure_unknown("the readings have no clock in common");
    trip.slope_k_per_s = slope_before(w, trip.at_s, &slope_u);
    trip.trip_degc = place_degc(w, trip.at_s);
    trip.threshold_degc = trip_threshold(&trip.trip_degc, trip.slope_k_per_s, slope_u);
    trip.release_degc = trip.release_threshold_degc = measure_unknown("the readings show no release");
    if (release != NULL)
        take_release(w, release, &trip);
    bool above_knee = w->asked->lithium_iron_phosphate && run->ended.end_cell_v >= KNEE_CELL_V;
    struct trip_signs signs = {.low = run->ended.low, .above_knee = above_knee, .moved_k = moved_within(w, run),
                               .raised_for_s = raised_for_s(findings, run), .before = before};
    trip.way = trip_way_of(&trip, &signs);
    trip_close(&trip, w->rig->sense_leads);
    return trip;
}

size_t trips_find(const struct watched *watched, struct trip ret_trips[static TRIPS])
{
    const struct findings *findings = watched->findings;
    size_t count = 0;
    for (size_t r = 0; r < findings->run_count && count < TRIPS; r++) {
        const struct run *run = &findings->runs[r];
        if (run->kind == RUN_REST || run->ended.by != ENDED_BMS)
            continue;
        ret_trips[count] = trip_of(watched, r, count > 0 ? &ret_trips[count - 1] : NULL);
        count++;
    }
    return count;
}

static const struct measure *value_of(const struct trip *trip, enum trip_value value)
{
    const struct measure *const of[TRIP_VALUES] = {
        [TRIP_DEGC] = &trip->trip_degc, [TRIP_RELEASE_DEGC] = &trip->release_degc, [TRIP_THRESHOLD] = &trip->threshold_degc,
        [TRIP_RELEASE_THRESHOLD] = &trip->release_threshold_degc, [TRIP_HYSTERESIS] = &trip->hysteresis_k};
    return of[value];
}

const struct trip *trip_by_sensor(const struct findings *findings, size_t run)
{
    for (size_t k = 0; k < findings->trip_count; k++) {
        const struct trip *trip = &findings->trips[k];
        if (trip->run == run && (trip->way == TRIP_COLD || trip->way == TRIP_HOT))
            return trip;
    }
    return NULL;
}

struct measure trips_pooled(const struct trip *trips, size_t count, bool charging, enum trip_way way, enum trip_value value)
{
    struct measure sum = measure_unknown("no such trip with a temperature");
    double mean = 0, squares = 0;
    size_t n = 0;
    for (size_t k = 0; k < count; k++) {
        const struct measure *one = value_of(&trips[k], value);
        bool of_place = value == TRIP_HYSTERESIS && trips[k].hysteresis_of_place;
        if (trips[k].charging != charging || trips[k].way != way || of_place || !measure_known(one))
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

struct trip_repeats trips_repeats(const struct trip *trips, size_t count, bool charging, enum trip_way way)
{
    struct trip_repeats repeats = {.count = 0};
    for (size_t k = 0; k < count; k++)
        repeats.count += trips[k].charging == charging && trips[k].way == way && measure_known(&trips[k].trip_degc);
    for (enum trip_value value = TRIP_DEGC; value < TRIP_VALUES; value++)
        repeats.of[value] = trips_pooled(trips, count, charging, way, value);
    return repeats;
}
