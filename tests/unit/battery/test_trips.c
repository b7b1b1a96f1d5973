#include "check.h"

#include "battery/examine.h"
#include "battery/protections.h"
#include "battery/trip_judge.h"
#include "battery/trips.h"
#include "numeric/random.h"
#include "quantity/series.h"

/* A charge of a pack whose sensor, with the probe beside it, goes along a ramp: cold and back, or hot and back. The board
 * acts on its place's temperature at once; the probe lags by `tau_s`. The supply goes up to its limit when it loses the
 * pack; or, when somebody switches it off, the pack's volts come down to rest. */
struct bench {
    double from_degc, per_s;      /* of the ramp, which turns about in the middle */
    double trip_degc, release_degc, tau_s, period_s;
    bool switched_off;            /* nothing trips: the supply is switched off at that temperature */
    uint32_t seed;
};

enum { SECONDS = 1400 };
static struct series series;
static struct rig rig;
static struct asked asked;
static struct findings found;
static struct trip trips[TRIPS];

static size_t find_again(void)
{
    free(found.trips);
    free(found.holds);
    free(found.low_stops);
    free(found.warmings);
    protections_of_series(&series, &rig, &asked, &found);
    for (size_t k = 0; k < found.trip_count; k++)
        trips[k] = found.trips[k];
    return found.trip_count;
}

static size_t watch(const struct bench *b)
{
    struct random *random = random_new(b->seed);
    series_free(&series);
    findings_free(&found);
    CHECK(series_init(&series, SECONDS + 1, 1u << CHANNEL_VOLTAGE | 1u << CHANNEL_CURRENT | 1u << CHANNEL_TEMPERATURE));
    series.oriented = true;
    series.resolution[CHANNEL_TEMPERATURE] = 0.1;
    series.resolution[CHANNEL_VOLTAGE] = 0.001;
    series.resolution[CHANNEL_CURRENT] = 0.01;
    bool open = false, cold = b->per_s < 0;
    double probe = b->from_degc, next_s = 0;
    for (int second = 0; second <= SECONDS; second++) {
        double place = b->from_degc + b->per_s * (second < SECONDS / 2 ? second : SECONDS - second);
        probe += (place - probe) / b->tau_s;
        if (cold ? place <= b->trip_degc : place >= b->trip_degc)
            open = true;
        if (cold ? place >= b->release_degc : place <= b->release_degc)
            open = false;
        if (second < next_s)
            continue;
        next_s += b->period_s;
        size_t k = series.count++;
        series.t_s[k] = second;
        series.column[CHANNEL_CURRENT][k] = round((open ? 0 : -19.7 + 0.02 * random_normal(random)) * 100) / 100;
        series.column[CHANNEL_VOLTAGE][k] =
            round(((open ? b->switched_off ? 13.41 : 14.42 : 13.72 + 2e-5 * second) + 0.001 * random_normal(random)) * 1000) / 1000;
        series.column[CHANNEL_TEMPERATURE][k] = round((probe + 0.03 * random_normal(random)) * 10) / 10;
    }
    random_free(random);
    series_mark(&series, 40, cold ? "sensor chilled" : "sensor heated", 0);
    rig = rig_default();
    rig.probe_tau_s = b->tau_s;
    rig.of[CHANNEL_TEMPERATURE] = (struct accuracy){.offset = 0.5, .stated = true};
    asked = asked_nothing();
    asked.cells = 4;
    asked.lithium_iron_phosphate = true;
    struct notices notices = {0};
    struct message message;
    CHECK(examine_series(&series, &rig, &asked, &found, &notices, &message) == STATUS_OK);
    notices_free(&notices);
    return find_again();
}

TEST(a_cold_stop_is_found_with_the_temperature_of_its_place)
{
    struct bench b = {.from_degc = 17.3, .per_s = -0.031, .trip_degc = 1.6, .release_degc = 5.4, .tau_s = 12, .period_s = 1,
                      .seed = 51};
    CHECK(watch(&b) == 1);
    const struct trip *trip = &trips[0];
    CHECK(trip->charging && trip->way == TRIP_COLD && trip->slope_k_per_s < 0);
    CHECK_NEAR(trip->at_s, (17.3 - 1.6) / 0.031, 1.5);
    CHECK(trip->trip_degc.lo <= 1.6 && 1.6 <= trip->trip_degc.hi);
    CHECK(trip->release_degc.lo <= 5.4 && 5.4 <= trip->release_degc.hi);
    CHECK_NEAR(trip->hysteresis_k.value, 3.8, 0.3);
    CHECK(trip->hysteresis_k.u < trip->trip_degc.u); /* the thermometer's offset cancels */
    CHECK_TEXT(trip->stimulus, "sensor chilled");
    CHECK_NEAR(trip->delay_s.value, trip->at_s - 40, 1e-9);
    CHECK(trip->at_halfwidth_s == 0.5);
}

/* The probe's own reading is half a kelvin behind: without its lag the interval would miss. */
TEST(a_fast_ramp_needs_the_probes_lag)
{
    struct bench b = {.from_degc = 31, .per_s = 0.062, .trip_degc = 52.3, .release_degc = 47.5, .tau_s = 25, .period_s = 1,
                      .seed = 8};
    CHECK(watch(&b) == 1 && trips[0].way == TRIP_HOT);
    CHECK(trips[0].trip_degc.lo <= 52.3 && 52.3 <= trips[0].trip_degc.hi);
    CHECK(trips[0].release_degc.lo <= 47.5 && 47.5 <= trips[0].release_degc.hi);
    CHECK(trips[0].hysteresis_k.value > 0);
    double known = trips[0].trip_degc.u;
    rig.probe_tau_s = NAN;
    CHECK(find_again() == 1);
    CHECK(trips[0].trip_degc.u > known && trips[0].trip_degc.lo <= 52.3 && 52.3 <= trips[0].trip_degc.hi);
}

TEST(readings_far_apart_widen_the_instant)
{
    struct bench b = {.from_degc = 17.3, .per_s = -0.031, .trip_degc = 1.6, .release_degc = 5.4, .tau_s = 5, .period_s = 20,
                      .seed = 51};
    CHECK(watch(&b) == 1);
    CHECK(trips[0].at_halfwidth_s == 10 && trips[0].delay_s.u > 5);
    CHECK_NEAR(trips[0].at_s, (17.3 - 1.6) / 0.031, 10);
}

TEST(a_supply_that_is_switched_off_is_no_trip)
{
    struct bench b = {.from_degc = 17.3, .per_s = -0.031, .trip_degc = 1.6, .release_degc = 5.4, .tau_s = 12, .period_s = 1,
                      .switched_off = true, .seed = 51};
    CHECK(watch(&b) == 0);
}

TEST(without_a_temperature_only_the_delay_is_shown)
{
    struct bench b = {.from_degc = 17.3, .per_s = -0.031, .trip_degc = 1.6, .release_degc = 5.4, .tau_s = 12, .period_s = 1,
                      .seed = 3};
    CHECK(watch(&b) == 1);
    double *column = series.column[CHANNEL_TEMPERATURE];
    series.column[CHANNEL_TEMPERATURE] = NULL;
    CHECK(find_again() == 1);
    CHECK(trips[0].way == TRIP_COLD); /* by the word of the mark */
    CHECK(!measure_known(&trips[0].trip_degc) && measure_known(&trips[0].delay_s));
    series.column[CHANNEL_TEMPERATURE] = column;
}

/* A pack that is full while it slowly warms: its board opens too, and no temperature was the cause. */
TEST(a_full_pack_is_stopped_by_no_temperature)
{
    struct bench b = {.from_degc = 24, .per_s = 0.004, .trip_degc = 26.1, .release_degc = 20, .tau_s = 12, .period_s = 1,
                      .seed = 77};
    CHECK(watch(&b) == 1);
    series.mark_count = 0;
    CHECK(find_again() == 1);
    CHECK(trips[0].way == TRIP_UNKNOWN && trips[0].stimulus[0] == '\0' && !measure_known(&trips[0].delay_s));
    series.mark_count = 1;
}

TEST(repeats_are_pooled_and_their_scatter_counts)
{
    struct trip repeats[3] = {0};
    static const double degc[3] = {1.4, 2.3, 1.9};
    for (int k = 0; k < 3; k++) {
        repeats[k] = (struct trip){.charging = true, .way = TRIP_COLD};
        repeats[k].trip_degc = measure_of(degc[k]);
        measure_part(&repeats[k].trip_degc, (struct part){.cause = CAUSE_OFFSET_OTHER, .shape = SHAPE_RECTANGULAR, .u = 0.3,
                                                          .dof = INFINITY, .source = 9});
    }
    struct measure pooled = trips_pooled(repeats, 3, true, TRIP_COLD, TRIP_DEGC);
    CHECK_NEAR(pooled.value, (1.4 + 2.3 + 1.9) / 3, 1e-12);
    double scatter = sqrt((0.4667 * 0.4667 + 0.4333 * 0.4333 + 0.0333 * 0.0333) / 2 / 3);
    CHECK_REL(pooled.u, hypot(0.3, scatter), 0.01); /* the offset is common to all and does not shrink */
    struct measure none = trips_pooled(repeats, 3, true, TRIP_HOT, TRIP_DEGC);
    CHECK(!measure_known(&none));
}

/* Each of them may be off by the lag, and all by the same. */
TEST(what_the_lag_leaves_open_does_not_shrink_with_repeats)
{
    struct trip repeats[4] = {0};
    for (int k = 0; k < 4; k++) {
        struct measure place = measure_of(1.3);
        repeats[k] = (struct trip){.charging = true, .way = TRIP_COLD, .trip_degc = place, .hysteresis_of_place = true};
        repeats[k].threshold_degc = trip_threshold(&place, -0.0115, 1e-6);
        repeats[k].release_degc = repeats[k].release_threshold_degc = measure_unknown("no release");
        repeats[k].hysteresis_k = measure_of(4.1);
    }
    struct trip_repeats pooled = trips_repeats(repeats, 4, true, TRIP_COLD);
    CHECK(pooled.count == 4);
    CHECK_REL(pooled.of[TRIP_THRESHOLD].u, repeats[0].threshold_degc.u, 1e-9);
    CHECK(!measure_known(&pooled.of[TRIP_RELEASE_DEGC]) && !measure_known(&pooled.of[TRIP_HYSTERESIS])); /* that was of the place */
    CHECK(trips_repeats(repeats, 4, false, TRIP_COLD).count == 0);
}
