#include "watched.h"

static const char *const hundred = "capacity = 95 Ah | case\nenergy = 1210 Wh | case\ncells = 4S | case\n"
                                   "continuous current = 100 A | case\n";
static const struct load_segment whole[] = {
    {.kind = SEGMENT_REST, .duration_s = 300},
    {.kind = SEGMENT_POWER, .amount = 243, .idle_w = 11, .duration_s = 9400},
    {.kind = SEGMENT_POWER, .amount = 1163, .idle_w = 11, .duration_s = 240},
    {.kind = SEGMENT_POWER, .amount = 243, .idle_w = 11, .duration_s = INFINITY},
    {.kind = SEGMENT_REST, .duration_s = 183},
};

TEST(a_whole_discharge)
{
    watched_label(hundred);
    watched_rehearse(97.3, whole, 5, 1);
    struct watch_setup setup = watched_setup(GOAL_DISCHARGE);
    struct watch *watch = watch_new(&setup);
    watched_run(watch);
    CHECK(watched_says(watched_call(CALL_STEP, 0), "The load is on: 19"));
    CHECK_NEAR(watched_call(CALL_STEP, 0)->t_s, 300, 2);
    CHECK_NEAR(watched_call(CALL_STEP, 1)->t_s, 9700, 2);
    CHECK_NEAR(watched_call(CALL_STEP, 2)->t_s, 9940, 2);
    CHECK(watched_number(CALL_STEP) == 3);
    CHECK(watched_number(CALL_KNEE) == 1);
    CHECK(watched_number(CALL_RATED_CHARGE) == 1);
    CHECK(watched_number(CALL_END) == 1);
    CHECK(watched_says(watched_call(CALL_END, 0), "the terminals went dark"));
    CHECK_NEAR(watched_call(CALL_END, 0)->t_s, watched.truth.end_s, 2);
    const struct forecast *end = watch_forecast(watch);
    CHECK_NEAR(end->cut_off_at_s.value, watched.truth.end_s, 2);
    CHECK(end->ah_now.lo <= watched.truth.end_ah && watched.truth.end_ah <= end->ah_now.hi);
    watch_free(watch);
    watched_free();
}

/* Early enough to pick up a camera, and not so early that it is put down again. */
TEST(cues_come_before_what_they_announce)
{
    watched_label(hundred);
    watched_rehearse(97.3, whole, 5, 1);
    struct watch_setup setup = watched_setup(GOAL_DISCHARGE);
    struct watch *watch = watch_new(&setup);
    watched_run(watch);
    const struct call *half = NULL, *rated = NULL, *cut_off = NULL;
    for (size_t k = 0; k < watched_number(CALL_CUE); k++) {
        const struct call *cue = watched_call(CALL_CUE, k);
        CHECK(cue->urgent);
        half = strstr(cue->text, "burst of the plan") != NULL ? cue : half;
        rated = strstr(cue->text, "The rated") != NULL ? cue : rated;
        cut_off = strstr(cue->text, "Cut-off is expected") != NULL ? cue : cut_off;
    }
    CHECK(half != NULL && rated != NULL && cut_off != NULL);
    size_t cursor = 0;
    struct truth_point at_half = truth_at(&watched.truth, half->t_s, &cursor);
    CHECK(at_half.charge_ah > 0.88 * 47.5 && at_half.charge_ah < 47.3);
    double rated_s = watched_call(CALL_RATED_CHARGE, 0)->t_s;
    CHECK(rated_s - rated->t_s > 180 && rated_s - rated->t_s < 900);
    CHECK(watched.truth.end_s - cut_off->t_s > 240 && watched.truth.end_s - cut_off->t_s < 1500);
    CHECK(watched_call(CALL_KNEE, 0)->t_s < cut_off->t_s + 1);
    watch_free(watch);
    watched_free();
}

TEST(the_same_readings_give_the_same_calls)
{
    watched_label(hundred);
    watched_rehearse(97.3, whole, 5, 1);
    struct watch_setup setup = watched_setup(GOAL_DISCHARGE);
    struct watch *watch = watch_new(&setup);
    watched_run(watch);
    struct call first[WATCHED_CALLS];
    size_t count = watched.count;
    memcpy(first, watched.calls, sizeof first);
    watch_free(watch);
    watch = watch_new(&setup);
    watched_run(watch);
    CHECK(watched.count == count && count > 5);
    for (size_t k = 0; k < count; k++) {
        CHECK_TEXT(watched.calls[k].text, first[k].text);
        CHECK(watched.calls[k].t_s == first[k].t_s);
    }
    watch_free(watch);
    watched_free();
}

TEST(a_rig_too_wide_is_said_before)
{
    watched_label(hundred);
    struct call calls[WATCH_CALLS];
    watched.rig.of[CHANNEL_CURRENT].gain = 0.05;
    struct watch_setup setup = watched_setup(GOAL_DISCHARGE);
    size_t count = watch_before(&setup, calls);
    CHECK(count == 2);
    CHECK(watched_says(&calls[0], "95 Ah only to ±4."));
    CHECK(watched_says(&calls[0], "calibrated shunt"));
    watched.rig.of[CHANNEL_CURRENT].gain = 0.005;
    watched.rig.ripple = 0;
    CHECK(watch_before(&setup, calls) == 0);
    setup.label = NULL;
    CHECK(watch_before(&setup, calls) == 0);
    watched_free();
}
