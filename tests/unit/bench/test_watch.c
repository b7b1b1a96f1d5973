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
    if (half == NULL || rated == NULL || cut_off == NULL)
        return;
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

static struct reading_now reading(double t_s, double v, double a)
{
    struct reading_now now = reading_none(t_s);
    now.v = v;
    now.a = a;
    return now;
}

static void give(struct watch *watch, double t_s, double v, double a)
{
    struct call calls[WATCH_CALLS];
    struct reading_now now = reading(t_s, v, a);
    watched_keep(calls, watch_reading(watch, &now, calls));
}

static struct watch *fresh(enum forecast_goal goal)
{
    watched_label(hundred);
    struct watch_setup setup = watched_setup(goal);
    watched.count = 0;
    return watch_new(&setup);
}

static void leave(struct watch *watch)
{
    watch_free(watch);
    watched_free();
}

/* Rows with holes, a gap of twenty minutes, an instant twice and one gone back, values that are no numbers. */
TEST(untidy_readings)
{
    watched_label(hundred);
    watched_rehearse(97.3, whole, 5, 1);
    struct watch_setup setup = watched_setup(GOAL_DISCHARGE);
    struct watch *watch = watch_new(&setup);
    struct call calls[WATCH_CALLS];
    watched.count = 0;
    for (size_t k = 0; k < watched.shown.count; k++) {
        struct reading_now now = watched_reading(k);
        now.v = k % 7 == 3 ? NAN : now.v;
        now.a = k % 11 == 5 ? NAN : k % 997 == 0 ? INFINITY : now.a;
        now.degc = k % 3 == 0 ? NAN : now.degc;
        if (k > 4000 && k < 5200)
            continue;
        watched_keep(calls, watch_reading(watch, &now, calls));
        if (k % 100 == 0) {
            watched_keep(calls, watch_reading(watch, &now, calls));
            now.t_s -= 30;
            CHECK(watch_reading(watch, &now, calls) == 0);
            now.t_s = NAN;
            CHECK(watch_reading(watch, &now, calls) == 0);
        }
    }
    CHECK(watched_number(CALL_STEP) == 3);
    CHECK(watched_number(CALL_KNEE) == 1);
    CHECK(watched_number(CALL_RATED_CHARGE) == 1);
    CHECK(watched_number(CALL_END) == 1);
    CHECK(watched_number(CALL_LIMIT) <= 1);
    const struct forecast *end = watch_forecast(watch);
    CHECK(end->ah_now.lo <= watched.truth.end_ah && watched.truth.end_ah <= end->ah_now.hi);
    leave(watch);
}

TEST(a_sign_that_is_reversed)
{
    struct watch *watch = fresh(GOAL_DISCHARGE);
    for (int k = 0; k < 400; k++)
        give(watch, k, 13.1, k < 30 ? 0 : -20.2);
    CHECK(watched.count == 1);
    CHECK(watched_says(&watched.calls[0], "20.2 A enter the sample in a run that is to be a discharge"));
    CHECK(watched_says(&watched.calls[0], "turn the sign in the rig file"));
    CHECK(!measure_known(&watch_forecast(watch)->cut_off_at_s));
    CHECK(watch_forecast(watch)->ah == 0); /* nothing was delivered */
    leave(watch);
}

/* What a charger puts in afterwards is not taken off what the discharge delivered. */
TEST(a_charger_after_the_end)
{
    struct watch *watch = fresh(GOAL_DISCHARGE);
    for (int k = 0; k < 3000; k++)
        give(watch, k, k < 60 ? 13.3 : 13.1 - 1e-5 * k, k < 60 ? 0.02 : 20.2);
    for (int k = 3000; k < 3100; k++)
        give(watch, k, 0.3, 0);
    double ah = watch_forecast(watch)->ah;
    for (int k = 3100; k < 5000; k++)
        give(watch, k, 13.4, -19.7);
    CHECK_REL(ah, 20.2 * 2940 / 3600, 1e-3);
    CHECK_REL(watch_forecast(watch)->ah, ah, 1e-9);
    CHECK(watched_number(CALL_END) == 1);
    CHECK_NEAR(watch_forecast(watch)->cut_off_at_s.value, 2999.5, 1);
    for (size_t k = 0; k < watched.count; k++)
        CHECK(strstr(watched.calls[k].text, "turn the sign") == NULL);
    leave(watch);
}

TEST(a_load_that_stops_on_the_plateau_is_no_end)
{
    struct watch *watch = fresh(GOAL_DISCHARGE);
    for (int k = 0; k < 4000; k++)
        give(watch, k, k < 3000 ? 13.1 - 1e-5 * k : 13.22, k < 60 || k >= 3000 ? 0.02 : 20.2);
    CHECK(watched_number(CALL_END) == 0);
    CHECK(watched_says(watched_call(CALL_STEP, 1), "The load went off after 0:49:00, with 16.5"));
    CHECK(strcmp(watch_forecast(watch)->cut_off_at_s.why, "no load is on") == 0);
    leave(watch);
}

TEST(a_load_that_never_stays_is_not_called_for_ever)
{
    struct watch *watch = fresh(GOAL_DISCHARGE);
    for (int k = 0; k < 6000; k++)
        give(watch, k, 13.1, k / 40 % 2 == 0 ? 8.3 : 31.7);
    CHECK(watched_number(CALL_STEP) == 13);
    CHECK(watched_says(watched_call(CALL_STEP, 12), "no longer called"));
    leave(watch);
}

/* A meter that the sample feeds says nothing any more: no readings, only time. */
TEST(a_meter_that_goes_dark)
{
    watched_label(hundred);
    watched_rehearse(97.3, whole, 5, 1);
    struct watch_setup setup = watched_setup(GOAL_DISCHARGE);
    struct watch *watch = watch_new(&setup);
    struct call calls[WATCH_CALLS];
    watched.count = 0;
    for (size_t k = 0; k < watched.shown.count && watched.shown.v[k] > 7; k++) {
        struct reading_now now = watched_reading(k);
        watched_keep(calls, watch_reading(watch, &now, calls));
    }
    CHECK(watched_number(CALL_END) == 0);
    size_t said = 0;
    for (int k = 1; k < 100; k++) {
        size_t count = watch_idle(watch, watched.truth.end_s + k, calls);
        for (size_t c = 0; c < count; c++)
            said += calls[c].kind == CALL_END && watched_says(&calls[c], "goes dark when the BMS opens");
    }
    CHECK(said == 1);
    leave(watch);
}

static const struct load_segment refill[] = {
    {.kind = SEGMENT_REST, .duration_s = 200},
    {.kind = SEGMENT_CHARGE, .amount = 20, .charge_v = 14.2, .tail_a = 2, .duration_s = INFINITY},
    {.kind = SEGMENT_REST, .duration_s = 400},
};

TEST(a_charge)
{
    watched_label(hundred);
    watched_rehearse(97.3, refill, 3, 0.1);
    struct watch_setup setup = watched_setup(GOAL_CHARGE);
    struct watch *watch = watch_new(&setup);
    watched_run(watch);
    CHECK(watched_says(watched_call(CALL_STEP, 0), "The charger is on: "));
    CHECK(watched_number(CALL_END) == 1);
    CHECK(watched_says(watched_call(CALL_END, 0), "The charge ended after"));
    CHECK(watched_number(CALL_CUE) + watched_number(CALL_KNEE) + watched_number(CALL_LIMIT) == 0);
    CHECK(watched_number(CALL_STEP) <= 13); /* the current of constant volts falls by and by */
    const struct forecast *end = watch_forecast(watch);
    CHECK(end->ah > 0 && end->ah_now.lo <= watched.truth.charge_in_ah && watched.truth.charge_in_ah <= end->ah_now.hi);
    leave(watch);
}

TEST(limits_are_looked_at_in_a_run)
{
    watched_label(hundred);
    struct watch_setup setup = watched_setup(GOAL_DISCHARGE);
    struct message message;
    CHECK(limits_set(span_of("high 41.5 °C"), "--limit", &setup.limits, &message) == STATUS_OK);
    struct watch *watch = watch_new(&setup);
    watched.count = 0;
    for (int k = 0; k < 600; k++) {
        struct call calls[WATCH_CALLS];
        struct reading_now now = reading(k, 13.1, 20.1);
        now.degc = 38 + 0.01 * k;
        watched_keep(calls, watch_reading(watch, &now, calls));
    }
    CHECK(watched_number(CALL_LIMIT) == 1);
    CHECK_TEXT(watched_call(CALL_LIMIT, 0)->text, "The sample is at 41.5 °C, above 41.5 °C (--limit): take the load off.");
    leave(watch);
}

/* Without a label and without a plan: what can be told is told. */
TEST(nothing_known_beforehand)
{
    watched_label(hundred);
    watched_rehearse(97.3, whole, 5, 1);
    struct rig rig = rig_default();
    struct watch_setup setup = {.rig = &rig, .limits = limits_usual(NULL, false), .goal = GOAL_DISCHARGE};
    struct watch *watch = watch_new(&setup);
    watched_run(watch);
    CHECK(watched_number(CALL_RATED_CHARGE) == 0);
    CHECK(watched_number(CALL_KNEE) == 1);
    CHECK(watched_number(CALL_END) == 1);
    CHECK(watched.truth.end_s - watched_call(CALL_KNEE, 0)->t_s > 240);
    leave(watch);
}

/* Every sentence ends as one, has no hole in it and fits. */
TEST(sentences)
{
    watched_label(hundred);
    watched_rehearse(97.3, whole, 5, 1);
    struct watch_setup setup = watched_setup(GOAL_DISCHARGE);
    struct watch *watch = watch_new(&setup);
    watched_run(watch);
    struct call more[] = {call_silent(3, "shunt meter", 12.4, "the line went dead"), call_silent(3, "shunt meter", 90, ""),
                          call_heard(9, "shunt meter", 4000), call_clock_stepped(9, -3600), call_clock_stepped(9, 0.4),
                          call_disk_low(9, 31e6, 7000), call_disk_low(9, 31e6, NAN)};
    watched_keep(more, sizeof more / sizeof *more);
    for (size_t k = 0; k < watched.count; k++) {
        const char *text = watched.calls[k].text;
        CHECK(text[strlen(text) - 1] == '.');
        CHECK(strstr(text, "nan") == NULL && strstr(text, "inf") == NULL && strstr(text, "  ") == NULL);
        CHECK(text[0] != '\0' && strlen(text) < 300);
        CHECK(call_kind_name(watched.calls[k].kind)[0] != '\0');
    }
    leave(watch);
}
