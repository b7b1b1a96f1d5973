#include "check.h"

#include "battery/trip_judge.h"
#include "numeric/budget.h"
#include "numeric/random.h"

static enum trip_way judged(bool charging, const char *stimulus, struct trip_signs signs)
{
    struct trip trip = {.charging = charging};
    snprintf(trip.stimulus, sizeof trip.stimulus, "%s", stimulus);
    return trip_way_of(&trip, &signs);
}

TEST(the_signs_tell_what_a_trip_was_of)
{
    const struct trip_signs none = {.moved_k = NAN, .raised_for_s = NAN};
    struct trip_signs s = none;
    CHECK(judged(true, "", s) == TRIP_UNKNOWN && judged(false, "", s) == TRIP_UNKNOWN);
    CHECK(judged(true, "cell sensor chilled", s) == TRIP_COLD && judged(false, "sensor heated", s) == TRIP_HOT);
    s.moved_k = -TREATED_K;
    CHECK(judged(true, "", s) == TRIP_COLD && judged(false, "", s) == TRIP_UNKNOWN); /* a load warms the pack by itself */
    s.moved_k = TREATED_K - 0.1;
    s.above_knee = true;
    CHECK(judged(true, "", s) == TRIP_HIGH);
    s = none;
    struct trip again = {.charging = true, .trip_degc = measure_of(2.1)}, before = {.charging = true, .way = TRIP_COLD};
    before.trip_degc = measure_of(1.2);
    s.before = &before;
    s.moved_k = -4;
    CHECK(trip_way_of(&again, &s) == TRIP_COLD); /* as the one before */
    s.moved_k = 4;
    CHECK(trip_way_of(&again, &s) == TRIP_UNKNOWN);
    s.moved_k = -4;
    before.trip_degc = measure_of(9.2);
    CHECK(trip_way_of(&again, &s) == TRIP_UNKNOWN);
    s = none;
    s.raised_for_s = RAISE_ACTS_S;
    CHECK(judged(false, "", s) == TRIP_OVER_CURRENT);
    s.raised_for_s = RAISE_ACTS_S + 1; /* it may have been heat by then */
    CHECK(judged(false, "", s) == TRIP_UNKNOWN);
    s.raised_for_s = 3;
    CHECK(judged(true, "", s) == TRIP_OVER_CURRENT);
    s.low = true;
    CHECK(judged(false, "sensor heated", s) == TRIP_LOW);
}

TEST(a_threshold_wants_a_slow_ramp_and_a_known_one)
{
    struct measure place = measure_of(1.7);
    measure_part(&place, (struct part){.cause = CAUSE_OFFSET_OTHER, .shape = SHAPE_RECTANGULAR, .u = 0.3, .dof = INFINITY});
    double slow = -0.4 / 60, fast = -1.3 / 60;
    struct measure t = trip_threshold(&place, slow, 0.0001);
    CHECK_NEAR(t.value, 1.7 + 0.4, 1e-9); /* a sensor behind a falling place is still warmer */
    CHECK(t.u > 0.3 && t.lo < 1.7 + 0.01 && t.hi > 1.7 + 0.79);
    t = trip_threshold(&place, fast, 0.0001);
    CHECK(!measure_known(&t) && strstr(t.why, "K/min") != NULL);
    t = trip_threshold(&place, slow, 0.01); /* the slope is not known */
    CHECK(!measure_known(&t));
    t = trip_threshold(&place, NAN, NAN);
    CHECK(!measure_known(&t) && t.why[0] != '\0');
    struct measure none = measure_unknown("no temperature was read");
    t = trip_threshold(&none, slow, 0.0001);
    CHECK(!measure_known(&t));
    CHECK_TEXT(t.why, "no temperature was read");
}

/* A sensor of first order behind its place, and a board that acts a while later: what is told holds the true threshold
 * whatever they are. */
TEST(the_threshold_holds_whatever_lag_and_delay_are)
{
    struct random *random = random_new(90210);
    int held = 0, told = 0;
    enum { TRIALS = 400 };
    for (int k = 0; k < TRIALS; k++) {
        double slope = (random_uniform(random) < 0.5 ? -1 : 1) * (0.1 + 0.85 * random_uniform(random)) / 60;
        double tau_s = 80 * random_uniform(random), delay_s = 40 * random_uniform(random), threshold = 0.83;
        double off = 0.5 * (2 * random_uniform(random) - 1); /* of the thermometer */
        struct measure place = measure_of(threshold + slope * (tau_s + delay_s) + off);
        measure_part(&place, (struct part){.cause = CAUSE_OFFSET_OTHER, .shape = SHAPE_RECTANGULAR, .u = 0.5 / sqrt(3),
                                           .dof = INFINITY});
        struct measure found = trip_threshold(&place, slope, 1e-6);
        told += measure_known(&found);
        held += found.lo <= threshold && threshold <= found.hi;
    }
    random_free(random);
    CHECK(told == TRIALS && held >= 0.95 * TRIALS - 3 * sqrt(0.05 * 0.95 * TRIALS));
}

TEST(words_say_what_was_shown_and_what_was_not)
{
    struct trip trip = {.charging = true, .way = TRIP_COLD, .from_a = 19.7, .stimulus = "cell sensor chilled"};
    trip.delay_s = measure_of(27);
    trip.trip_degc = trip.release_degc = trip.threshold_degc = trip.release_threshold_degc = measure_unknown("no temperature");
    trip_close(&trip, false);
    CHECK(strstr(trip.words, "exists and acted; no threshold was measured") != NULL);
    CHECK(strstr(trip.words, "a clip that slipped off") != NULL);
    trip.trip_degc = measure_of(1.7);
    trip_close(&trip, true);
    CHECK(strstr(trip.words, "no threshold proper was measured: that wants slow ramps in both directions") != NULL);
    CHECK(strstr(trip.words, "slipped") == NULL && !measure_known(&trip.hysteresis_k));
    trip.release_degc = measure_of(5.5);
    trip_close(&trip, true);
    CHECK_NEAR(trip.hysteresis_k.value, 3.8, 1e-9);
    CHECK(trip.hysteresis_of_place && strstr(trip.words, "more than the hysteresis by what the pack's own sensor lags") != NULL);
    trip.threshold_degc = trip.release_threshold_degc = measure_of(2.1);
    trip.way = TRIP_LOW;
    trip_close(&trip, true);
    CHECK(!measure_known(&trip.threshold_degc) && !measure_known(&trip.release_threshold_degc)); /* of no sensor */
    CHECK(trip.stimulus[0] == '\0' && !measure_known(&trip.delay_s) && !measure_known(&trip.hysteresis_k));
}

/* The lag is the same at the stop and at the release, which lie on either side: it adds up. */
TEST(the_hysteresis_of_slow_ramps_allows_for_the_lag_twice)
{
    struct trip trip = {.charging = true, .way = TRIP_HOT, .trip_degc = measure_of(52.4), .release_degc = measure_of(46.9),
                        .slope_k_per_s = 0.0121, .release_slope_k_per_s = -0.0117};
    trip.delay_s = measure_unknown("no mark");
    trip.released_s = NAN;
    trip.threshold_degc = trip_threshold(&trip.trip_degc, 0.0121, 1e-6);
    trip.release_threshold_degc = trip_threshold(&trip.release_degc, -0.0117, 1e-6);
    trip_close(&trip, true);
    double most_k = (0.0121 + 0.0117) * TRIP_LAG_MOST_S;
    CHECK(!trip.hysteresis_of_place);
    CHECK_NEAR(trip.hysteresis_k.value, 5.5 - most_k / 2, 1e-9);
    CHECK(trip.hysteresis_k.lo < 5.5 - most_k && trip.hysteresis_k.hi > 5.5); /* no lag at all, and all of it */
    CHECK(strstr(trip.words, "; hysteresis 4.1 ± 2.0 K") != NULL);
}

TEST(the_words_name_what_was_treated_and_when_it_was_let_go)
{
    struct trip trip = {.charging = true, .way = TRIP_COLD, .from_a = 19.7, .stimulus = "ice put on", .place = "rear cell sensor",
                        .at_s = 212, .at_halfwidth_s = 1, .released_s = 391, .released_halfwidth_s = 1.5};
    trip.delay_s = trip.trip_degc = trip.release_degc = measure_unknown("not read");
    trip_close(&trip, true);
    CHECK_TEXT(trip.words, "19.7 A going in was stopped after 'ice put on', the rear cell sensor chilled, and let flow again "
                           "179.0 ± 2.5 s later: the protection exists and acted; no threshold was measured");
    snprintf(trip.stimulus, sizeof trip.stimulus, "chilled the rear cell sensor");
    trip_close(&trip, true);
    CHECK(strstr(trip.words, "sensor', and let flow") != NULL);
    trip.place[0] = '\0';
    trip_close(&trip, true);
    CHECK(strstr(trip.words, "which sensor was treated is not told") != NULL);
}
