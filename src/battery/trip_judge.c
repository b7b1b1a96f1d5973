#include "battery/trip_judge.h"

#include "base/number.h"
#include "numeric/budget.h"

#include <math.h>
#include <stdarg.h>
#include <string.h>

static const uint32_t lag_source = 1023; /* that no channel of a rig has (rig_source) */

const char *trip_way_name(enum trip_way way)
{
    static const char *const names[] = {"", "cold", "hot", "over-current", "low voltage", "high voltage"};
    return names[way];
}

static bool repeats(const struct trip *trip, const struct trip_signs *signs)
{
    const struct trip *before = signs->before;
    bool same_way = before->way == TRIP_COLD ? signs->moved_k < 0 : before->way == TRIP_HOT && signs->moved_k > 0;
    return same_way && before->charging && fabs(trip->trip_degc.value - before->trip_degc.value) <= REPEATS_K;
}

enum trip_way trip_way_of(const struct trip *trip, const struct trip_signs *signs)
{
    enum trip_way said = treatment_of(trip->stimulus).way;
    if (!trip->charging && signs->low)
        return TRIP_LOW;
    if (said != TRIP_UNKNOWN)
        return said;
    bool raised = signs->raised_for_s <= RAISE_ACTS_S;
    if (!trip->charging)
        return raised ? TRIP_OVER_CURRENT : TRIP_UNKNOWN;
    if (fabs(signs->moved_k) >= TREATED_K)
        return signs->moved_k < 0 ? TRIP_COLD : TRIP_HOT;
    if (signs->before != NULL && repeats(trip, signs))
        return signs->before->way;
    return signs->above_knee ? TRIP_HIGH : raised ? TRIP_OVER_CURRENT : TRIP_UNKNOWN;
}

struct measure trip_delay(const struct told *stimulus, const struct trip *trip)
{
    if (stimulus == NULL)
        return measure_unknown("no mark says when the stimulus began");
    struct measure delay = measure_of(trip->at_s - stimulus->t_s);
    measure_part(&delay, (struct part){.cause = CAUSE_SAMPLING, .shape = SHAPE_RECTANGULAR, .u = trip->at_halfwidth_s / sqrt(3),
                                       .dof = INFINITY, .what = "when between two readings it stopped",
                                       .remedy = "read more often"});
    measure_part(&delay, (struct part){.cause = CAUSE_CLOCK, .shape = SHAPE_RECTANGULAR, .u = stimulus->halfwidth_s / sqrt(3),
                                       .dof = INFINITY, .what = "instant of the mark", .remedy = "take it from a film"});
    budget_close(&delay);
    return delay;
}

struct measure trip_probe_tau(const struct rig *rig)
{
    if (isnan(rig->probe_tau_s))
        return measure_unknown("the rig does not state the probe's lag");
    struct measure tau = measure_of(rig->probe_tau_s);
    measure_part(&tau, (struct part){.cause = CAUSE_FIT, .shape = SHAPE_NORMAL, .u = rig->probe_tau_s / 10, .dof = INFINITY,
                                     .what = "lag of the probe as stated, to a tenth", .remedy = ""});
    budget_close(&tau);
    return tau;
}

struct measure trip_threshold(const struct measure *place_degc, double slope_k_per_s, double slope_u)
{
    if (!measure_known(place_degc))
        return *place_degc;
    if (isnan(slope_k_per_s) || isnan(slope_u))
        return measure_unknown("too few temperatures in the %.0f s before to tell how fast the place's went", TRIP_LAG_MOST_S);
    double moves_k = (fabs(slope_k_per_s) + 2 * slope_u) * TRIP_LAG_MOST_S;
    if (moves_k > TRIP_SLOW_K)
        return measure_unknown("the place's temperature went by up to %.2g K/min, and the pack's own sensor lags behind it: that "
                               "wants a ramp of %.2g K/min or less", moves_k / TRIP_LAG_MOST_S * 60,
                               TRIP_SLOW_K / TRIP_LAG_MOST_S * 60);
    struct measure shift = measure_of(-slope_k_per_s * TRIP_LAG_MOST_S / 2);
    measure_part(&shift, (struct part){.cause = CAUSE_CONDITIONS, .shape = SHAPE_ARCSINE,
                                       .u = slope_k_per_s * TRIP_LAG_MOST_S / 2 / sqrt(2), .dof = INFINITY, .source = lag_source,
                                       .what = "lag of the pack's sensor and delay of its board", .remedy = "a slower ramp"});
    struct measure threshold = measure_sum(place_degc, 1, &shift, 1);
    budget_close(&threshold);
    return threshold;
}

__attribute__((format(printf, 2, 3))) static void say(struct trip *trip, const char *format, ...)
{
    size_t used = strlen(trip->words);
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(trip->words + used, sizeof trip->words - used, format, arguments);
    va_end(arguments);
}

static void say_degc(struct trip *trip, const char *before, const struct measure *degc, const char *symbol)
{
    char printed[48];
    measure_print(degc, symbol, printed, sizeof printed);
    say(trip, "%s%s", before, printed);
}

static bool is_thermal(const struct trip *trip)
{
    return trip->way == TRIP_COLD || trip->way == TRIP_HOT;
}

static void say_hysteresis(struct trip *trip)
{
    if (!measure_known(&trip->hysteresis_k))
        return;
    say_degc(trip, trip->hysteresis_of_place ? "; at that place they are apart by " : "; hysteresis ", &trip->hysteresis_k, "K");
    if (trip->hysteresis_of_place)
        say(trip, ", more than the hysteresis by what the pack's own sensor lags");
}

static void say_temperatures(struct trip *trip)
{
    const struct measure *t = &trip->threshold_degc, *r = &trip->release_threshold_degc;
    say_degc(trip, "; the probe's place was at ", &trip->trip_degc, "°C");
    if (measure_known(&trip->release_degc))
        say_degc(trip, ", at the release at ", &trip->release_degc, "°C");
    if (measure_known(t))
        say_degc(trip, "; by a slow ramp the threshold is ", t, "°C");
    if (measure_known(r))
        say_degc(trip, measure_known(t) ? ", and of the release " : "; by a slow ramp the threshold of the release is ", r, "°C");
    say_hysteresis(trip);
    if (!measure_known(t))
        say(trip, "; no threshold proper was measured: that wants slow ramps in both directions");
    else if (!measure_known(r))
        say(trip, "; that of the release was not measured");
}

/* What was heated or chilled, unless the mark's own words say it. */
static void say_treated(struct trip *trip)
{
    if (trip->place[0] == '\0')
        say(trip, ", which sensor was treated is not told");
    else if (strcasestr(trip->stimulus, trip->place) == NULL)
        say(trip, ", the %s %s", trip->place, trip->way == TRIP_COLD ? "chilled" : "heated");
}

static void say_release(struct trip *trip)
{
    double after_s = trip->released_s - trip->at_s, half_s = trip->at_halfwidth_s + trip->released_halfwidth_s;
    char after[32], within[32];
    if (isnan(after_s) || isnan(half_s))
        return;
    number_print(after_s, half_s, after, sizeof after);
    number_print(half_s, half_s, within, sizeof within);
    say(trip, ", and let flow again %s ± %s s later", after, within);
}

static void say_what(struct trip *trip)
{
    char delay[48], *of = trip->stimulus;
    say(trip, trip->charging ? "%.3g A going in was stopped" : "%.3g A was stopped", trip->from_a);
    if (measure_known(&trip->delay_s)) {
        measure_print(&trip->delay_s, "s", delay, sizeof delay);
        say(trip, " %s after '%s'", delay, of);
    } else if (of[0] != '\0') {
        say(trip, " after '%s'", of);
    }
    if (is_thermal(trip))
        say_treated(trip);
    say_release(trip);
}

/* Of the places, less what the lag of the pack's sensor adds to it; where no slow ramps bound that, of the places alone. */
static void take_hysteresis(struct trip *trip)
{
    double sign = trip->way == TRIP_HOT ? 1 : -1;
    trip->hysteresis_k = measure_unknown("the temperatures of trip and release are not both known");
    trip->hysteresis_of_place = false;
    if (!measure_known(&trip->trip_degc) || !measure_known(&trip->release_degc) || !is_thermal(trip))
        return;
    trip->hysteresis_k = measure_sum(&trip->trip_degc, sign, &trip->release_degc, -sign);
    trip->hysteresis_of_place = !measure_known(&trip->threshold_degc) || !measure_known(&trip->release_threshold_degc);
    if (!trip->hysteresis_of_place) {
        double lag_k = sign * (trip->slope_k_per_s - trip->release_slope_k_per_s) * TRIP_LAG_MOST_S / 2;
        trip->hysteresis_k.value -= lag_k;
        measure_part(&trip->hysteresis_k, (struct part){.cause = CAUSE_CONDITIONS, .shape = SHAPE_NORMAL, .u = lag_k / sqrt(2),
                                                        .dof = INFINITY, .source = lag_source,
                                                        .what = "lag of the pack's sensor and delay of its board",
                                                        .remedy = "slower ramps"});
    }
    budget_close(&trip->hysteresis_k);
}

void trip_close(struct trip *trip, bool volts_at_pack)
{
    if (!is_thermal(trip)) {
        trip->place[0] = '\0';
        trip->threshold_degc = trip->release_threshold_degc = measure_unknown("it answered no temperature");
    }
    if (trip->way == TRIP_LOW || trip->way == TRIP_HIGH) {
        trip->stimulus[0] = '\0';
        trip->delay_s = measure_unknown("it answered the volts of a cell, no mark");
    }
    take_hysteresis(trip);
    trip->words[0] = '\0';
    say_what(trip);
    if (is_thermal(trip) && measure_known(&trip->trip_degc))
        say_temperatures(trip);
    else if (is_thermal(trip))
        say(trip, ": the protection exists and acted; no threshold was measured");
    else if (trip->way == TRIP_UNKNOWN)
        say(trip, trip->charging ? ": for what is not told" : ": current, heat or a fault");
    else
        say(trip, ": %s", trip_way_name(trip->way));
    if (trip->charging && !volts_at_pack)
        say(trip, "; %s", TRIP_CLIP);
}
