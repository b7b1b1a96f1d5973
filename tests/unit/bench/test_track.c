#include "watched.h"

#include "battery/examine.h"
#include "bench/load_so_far.h"
#include "bench/track.h"

static const struct load_segment with_burst[] = {
    {.kind = SEGMENT_REST, .duration_s = 300},
    {.kind = SEGMENT_POWER, .amount = 453, .idle_w = 11, .ripple = 0.4, .duration_s = 3100},
    {.kind = SEGMENT_POWER, .amount = 883, .idle_w = 11, .duration_s = 240},
    {.kind = SEGMENT_POWER, .amount = 453, .idle_w = 11, .ripple = 0.4, .duration_s = INFINITY},
    {.kind = SEGMENT_REST, .duration_s = 183},
};

static struct track track;

static void feed(void)
{
    track_init(&track, &watched.rig, 1, NAN);
    for (size_t k = 0; k < watched.shown.count; k++)
        track_add(&track, watched.shown.t_s[k], watched.shown.v[k], watched.shown.a[k]);
}

static struct measure amount(bool energy)
{
    const struct ripple none = {0};
    return energy ? track_wh_measure(&track, &none) : track_ah_measure(&track);
}

/* The budget so far is the one that the assessment gives at the end. */
TEST(agrees_with_the_assessment)
{
    watched_label("capacity = 61 Ah | case\n");
    watched_rehearse(61.7, with_burst, 5, 1);
    watched.rig.ripple = 0;
    feed();
    struct series series = {.count = watched.shown.count, .t_s = watched.shown.t_s, .oriented = true, .start_utc_s = NAN,
                            .column = {[CHANNEL_VOLTAGE] = watched.shown.v, [CHANNEL_CURRENT] = watched.shown.a},
                            .resolution = {[CHANNEL_VOLTAGE] = 0.01, [CHANNEL_CURRENT] = 0.1}};
    struct asked asked = asked_nothing();
    struct findings findings;
    struct notices notices = {0};
    struct message message;
    CHECK(examine_series(&series, &watched.rig, &asked, &findings, &notices, &message) == STATUS_OK);
    struct measure ah = amount(false), wh = amount(true);
    CHECK_REL(ah.value, findings.test_ah.value, 5e-5);
    CHECK_REL(wh.value, findings.test_wh.value, 5e-5);
    CHECK_REL(ah.u, findings.test_ah.u, 0.01);
    CHECK_REL(wh.u, findings.test_wh.u, 0.01);
    CHECK_REL(ah.hi - ah.lo, findings.test_ah.hi - findings.test_ah.lo, 0.01);
    CHECK_REL(track_ah(&track), ah.value, 1e-9);
    CHECK_REL(track_wh(&track), wh.value, 1e-5); /* but for what jumps leave to the sums */
    CHECK(ah.lo <= watched.truth.end_ah && watched.truth.end_ah <= ah.hi);
    findings_free(&findings);
    notices_free(&notices);
    watched_free();
}

/* Nobody stated the ripple: the resistance that it meets is that of the steps, by least squares here and by the median there. */
TEST(agrees_with_the_assessment_on_a_ripple_nobody_stated)
{
    watched_label("capacity = 61 Ah | case\n");
    watched_rehearse(61.7, with_burst, 5, 1);
    feed();
    struct series series = {.count = watched.shown.count, .t_s = watched.shown.t_s, .oriented = true, .start_utc_s = NAN,
                            .column = {[CHANNEL_VOLTAGE] = watched.shown.v, [CHANNEL_CURRENT] = watched.shown.a},
                            .resolution = {[CHANNEL_VOLTAGE] = 0.01, [CHANNEL_CURRENT] = 0.1}};
    struct asked asked = asked_nothing();
    struct findings findings;
    struct notices notices = {0};
    CHECK(examine_series(&series, &watched.rig, &asked, &findings, &notices, NULL) == STATUS_OK);
    struct load_room *room = load_room_new();
    struct load_so_far load;
    load_so_far(&track, room, &load);
    struct measure wh = track_wh_measure(&track, &load.ripple);
    CHECK(load.load.law == LOAD_POWER && findings.load.law == LOAD_POWER);
    CHECK_NEAR(load.load.exponent.value, findings.load.exponent.value, 0.1);
    CHECK_REL(wh.value, findings.test_wh.value, 5e-4);
    CHECK_REL(wh.u, findings.test_wh.u, 0.2);
    load_room_free(room);
    findings_free(&findings);
    notices_free(&notices);
    watched_free();
}

TEST(points_cover_the_load_and_stay_few)
{
    watched_label("capacity = 61 Ah | case\n");
    watched_rehearse(61.7, with_burst, 5, 1);
    feed();
    CHECK(track.count > TRACK_POINTS / 4 && track.count <= TRACK_POINTS);
    size_t readings = 0, steps = 0;
    for (size_t k = 0; k < track.count; k++) {
        const struct track_point *point = &track.points[k];
        readings += point->readings;
        steps += point->after_step;
        CHECK(point->to_s - point->from_s <= track.span_s);
        CHECK(k == 0 || (point->from_s > point[-1].to_s && point->ah > point[-1].ah));
        /* never across a step, but for the reading in which a meter averaged over it */
        CHECK(point->a > 0 && (point->a < 60 || point->a > 70 || point->readings == 1));
    }
    CHECK(steps >= 3 && steps < 10);
    size_t under_load = 0;
    for (size_t k = 0; k < watched.shown.count; k++)
        under_load += watched.shown.a[k] > track.rest_a;
    CHECK(readings == under_load);
    watched_free();
}

/* A year at a reading a second would be the same; here, a fortnight at one a minute with a load that changes at every
 * reading. */
TEST(no_growth_whatever_comes)
{
    struct rig rig = rig_default();
    track_init(&track, &rig, 1, NAN);
    for (int k = 0; k < 20000; k++)
        track_add(&track, 60.0 * k, 13 - 1e-4 * k, 5 + 10 * (k * 7919 % 13));
    CHECK(track.count <= TRACK_POINTS);
    CHECK(track.buffered <= TRACK_BUFFER);
    double sum = 0;
    for (int k = 0; k + 1 < 20000; k++)
        sum += (10 + 10.0 * (k * 7919 % 13) + 10.0 * ((k + 1) * 7919 % 13)) / 2 / 60;
    CHECK_REL(track_ah(&track), sum, 1e-9);
}

/* Where a log is cut into what the buffer holds and what it has passed on makes no difference. */
TEST(the_same_however_it_is_scaled)
{
    watched_label("capacity = 61 Ah | case\n");
    watched_rehearse(61.7, with_burst, 5, 1);
    watched.rig.of[CHANNEL_CURRENT].gain = 0;
    feed();
    double ah = track_ah(&track), wh = track_wh(&track), u = amount(false).u;
    for (size_t k = 0; k < watched.shown.count; k++)
        watched.shown.a[k] *= 4;
    watched.rig.of[CHANNEL_CURRENT].offset *= 4;
    watched.rig.of[CHANNEL_CURRENT].resolution *= 4;
    feed();
    CHECK_REL(track_ah(&track), 4 * ah, 1e-12);
    CHECK_REL(track_wh(&track), 4 * wh, 1e-12);
    CHECK_REL(amount(false).u, 4 * u, 1e-9);
    watched_free();
}

TEST(sharp_changes_are_told_when_they_last)
{
    struct rig rig = rig_default();
    track_init(&track, &rig, 1, NAN);
    double t = 0;
    enum track_news seen[4] = {0};
    for (int k = 0; k < 40; k++, t += 1.1)
        CHECK(track_add(&track, t, 13.31, 0.02) == TRACK_NOTHING);
    for (int k = 0; k < 300; k++, t += 1.1)
        seen[track_add(&track, t, 13.12, 20.3)]++;
    CHECK(seen[TRACK_BEGAN] == 1 && seen[TRACK_STEPPED] == 0);
    CHECK_NEAR(track.began_s, 39.5 * 1.1, 0.01);
    CHECK_NEAR(track.resting_v, 13.31, 1e-9);
    for (int k = 0; k < 2; k++, t += 1.1) /* a glitch */
        CHECK(track_add(&track, t, 13.12, 80.0) == TRACK_NOTHING);
    for (int k = 0; k < 20; k++, t += 1.1)
        CHECK(track_add(&track, t, 13.12, 20.3) == TRACK_NOTHING);
    for (int k = 0; k < 20; k++, t += 1.1)
        seen[track_add(&track, t, 12.71, 61.2)]++;
    CHECK(seen[TRACK_STEPPED] == 1);
    CHECK_NEAR(track.step.from_a, 20.3, 0.01);
    CHECK_NEAR(track.step.to_a, 61.2, 0.01);
    CHECK_NEAR(track.step.half_s, 0.55, 1e-9);
    for (int k = 0; k < 20; k++, t += 1.1)
        seen[track_add(&track, t, 0.3, 0)]++;
    CHECK(seen[TRACK_ENDED] == 1);
    CHECK(track_dark(&track) && track_emptied(&track, 4));
    CHECK_NEAR(track.ended_v, 12.71, 1e-9);
}

TEST(few_readings_a_minute_apart)
{
    struct rig rig = rig_default();
    track_init(&track, &rig, 1, NAN);
    track_add(&track, 0, 13.3, 0);
    CHECK(track_add(&track, 60, 13.1, 20) == TRACK_NOTHING);
    CHECK(track_add(&track, 120, 13.1, 20) == TRACK_BEGAN);
    CHECK_NEAR(track.began_s, 30, 1e-9);
    CHECK_REL(track_ah(&track), (60 * 10 + 60 * 20) / 3600.0, 1e-12);
}

TEST(a_charge_counts_the_other_way)
{
    struct rig rig = rig_default();
    track_init(&track, &rig, -1, NAN);
    for (int k = 0; k < 100; k++)
        track_add(&track, 10.0 * k, 13.5, k < 10 ? 0 : -25);
    CHECK(track.flowing);
    CHECK_REL(track_ah(&track), 25 * 895 / 3600.0, 1e-9);
    CHECK(amount(false).value > 0 && amount(true).value > 0);
    CHECK(track.points[0].a > 0);
}
