/* What a person types at a bench: protection tests by eye. All invented. */
#include "typed.h"

static struct typed at_bench(void)
{
    struct typed typed = typed_start();
    typed.asked.cells = 4;
    typed.asked.lithium_iron_phosphate = true;
    typed.asked.rated_ah = 100;
    return typed;
}

TEST(a_cold_stop_with_hand_readings)
{
    struct typed typed = at_bench();
    typed.rig.probe_tau_s = 10;
    typed_examine(&typed, "direction: charge\ntimes: elapsed\n"
                          "0:00:00  13.21 V  0.0 A  21.4 C\n"
                          "0:01:00  13.34 V  10.1 A  21.3 C  charger on\n"
                          "0:04:00  13.36 V  10.1 A  20.9 C  cell sensor chilled with an ice bag\n"
                          "0:07:00  13.37 V  10.1 A  11.2 C\n"
                          "0:10:00  13.38 V  10.1 A  4.1 C\n"
                          "0:12:00  13.38 V  10.1 A  2.2 C\n"
                          "0:12:20  14.61 V  0.0 A  1.9 C  no current any more\n"
                          "0:15:00  14.61 V  0.0 A  3.4 C  ice bag removed\n"
                          "0:18:30  14.61 V  0.0 A  5.9 C\n"
                          "0:19:10  13.41 V  10.1 A  6.3 C  charges again\n"
                          "0:22:00  13.42 V  10.1 A  9.1 C\n");
    const struct findings *f = &typed.findings;
    CHECK(f->trip_count == 1);
    const struct trip *t = &f->trips[0];
    CHECK(t->charging && t->way == TRIP_COLD);
    CHECK_TEXT(t->stimulus, "cell sensor chilled with an ice bag");
    CHECK_TEXT(t->place, "cell sensor");
    CHECK_NEAR(t->at_s, 730, 10.5);
    CHECK_NEAR(t->at_halfwidth_s, 10, 1);
    CHECK_NEAR(t->delay_s.value, t->at_s - 240, 1);
    CHECK(t->trip_degc.lo < 1.9 && t->trip_degc.hi > 2.2 && t->trip_degc.hi - t->trip_degc.lo < 6); /* the default thermometer: 2 K */
    CHECK(t->release_degc.lo < 5.9 && t->release_degc.hi > 6.3);
    CHECK(t->hysteresis_k.value > 3 && t->hysteresis_k.value < 5 && t->hysteresis_k.u < t->trip_degc.u);
    CHECK(!measure_known(&t->threshold_degc)); /* some 1 K a minute just before */
    CHECK_NEAR(t->from_a, 10.1, 0.01);
    CHECK(f->hold_count == 2 && f->holds[0].end == HOLD_TRIPPED && f->holds[1].end == HOLD_READINGS_END);
    typed_end(&typed);
}

/* Volts at the pack's own terminals: it comes to rest. */
TEST(a_clip_that_slipped_off_or_a_charger_that_was_switched_off_is_no_stop)
{
    struct typed typed = at_bench();
    typed_examine(&typed, "direction: charge\ntimes: elapsed\n"
                          "0:01:00  13.34 V  10.1 A  21.3 C  charger on\n"
                          "0:04:00  13.36 V  10.1 A  20.9 C  sensor chilled\n"
                          "0:12:00  13.38 V  10.1 A  2.2 C\n"
                          "0:12:20  13.30 V  0.0 A  1.9 C\n"
                          "0:15:00  13.29 V  0.0 A  3.4 C\n");
    CHECK(typed.findings.trip_count == 0 && typed.findings.hold_count == 1);
    CHECK(typed.findings.holds[0].end == HOLD_CANNOT_TELL);
    typed_end(&typed);
    typed = at_bench();
    typed_examine(&typed, "direction: charge\ntimes: elapsed\n"
                          "0:01:00  13.34 V  10.1 A  charger on\n"
                          "0:12:00  13.38 V  10.1 A\n"
                          "0:12:20  14.61 V  0.0 A  charger off\n");
    CHECK(typed.findings.trip_count == 0);
    typed_end(&typed);
}

/* "Charging stopped" is what was seen; who did it, the volts tell, if they were read. */
TEST(words_alone_do_not_tell_who_stopped_a_charge)
{
    struct typed typed = at_bench();
    typed_examine(&typed, "direction: charge\ntimes: elapsed\n"
                          "0:00:05  13.34 V  10.1 A  charger on\n"
                          "0:04:00  13.36 V  10.1 A  hot air on the board sensor\n"
                          "0:05:10  13.37 V  10.1 A\n"
                          "0:05:14  14.60 V  0.0 A  charging stopped\n"
                          "0:09:40  13.39 V  10.1 A  charges again\n");
    CHECK(typed.findings.trip_count == 1 && typed.findings.trips[0].way == TRIP_HOT);
    CHECK_TEXT(typed.findings.trips[0].place, "board sensor");
    CHECK(strstr(typed.findings.trips[0].words, "no threshold was measured") != NULL);
    CHECK_NEAR(typed.findings.trips[0].released_s, 450, 135);
    typed_end(&typed);
    typed = at_bench();
    typed_examine(&typed, "direction: charge\ntimes: elapsed\n"
                          "0:00:05  13.34 V  10.1 A  charger on\n"
                          "0:04:00  13.36 V  10.1 A  hot air on the board sensor\n"
                          "0:05:10  13.37 V  10.1 A\n"
                          "0:05:14  0.0 A  charging stopped\n");
    CHECK(typed.findings.trip_count == 0);
    CHECK(typed.findings.runs[typed.findings.run_count - 1].kind == RUN_REST || typed.findings.run_count == 1);
    CHECK(strstr(typed.findings.runs[0].ended.evidence, "would tell who stopped it") != NULL);
    typed_end(&typed);
}

TEST(an_over_current_trip_by_eye)
{
    struct typed typed = at_bench();
    typed_examine(&typed, "direction: discharge\ntimes: elapsed\n"
                          "0:00:10  13.28 V  0.0 A\n"
                          "0:01:00  12.98 V  60.2 A  load on\n"
                          "0:02:00  12.93 V  60.1 A\n"
                          "0:02:04  11.31 V  163 A  burst\n"
                          "0:02:09  11.28 V  163 A\n"
                          "0:02:10  0.4 V  0.0 A  tripped, meter dark\n"
                          "0:02:50  0.4 V  0.0 A\n"
                          "0:03:20  13.41 V  -8.2 A  charger on\n");
    const struct findings *f = &typed.findings;
    CHECK(f->trip_count == 1 && f->trips[0].way == TRIP_OVER_CURRENT && f->low_stop_count == 0);
    const struct hold *last = NULL;
    for (size_t k = 0; k < f->hold_count; k++)
        last = f->holds[k].end == HOLD_TRIPPED ? &f->holds[k] : last;
    CHECK(last != NULL && last->a.lo < 163 && 163 < last->a.hi);
    CHECK(last != NULL && last->held_s.lo < 6 && 6 < last->held_s.hi);
    typed_end(&typed);
}

TEST(an_empty_pack_that_comes_back)
{
    struct typed typed = at_bench();
    typed_examine(&typed, "direction: discharge\ntimes: elapsed\n"
                          "0:00:00  13.31 V  0.0 A\n"
                          "0:01:00  13.05 V  25.1 A  load on\n"
                          "3:30:00  12.31 V  25.0 A\n"
                          "3:50:00  11.40 V  25.1 A\n"
                          "3:58:40  10.11 V  25.1 A\n"
                          "3:58:50  --  cut-off, meter dark\n"
                          "4:08:00  12.41 V  0.0 A  woken by its button\n"
                          "4:20:00  12.62 V  0.0 A\n");
    const struct findings *f = &typed.findings;
    CHECK(f->low_stop_count == 1 && f->trip_count == 1 && f->trips[0].way == TRIP_LOW);
    const struct low_stop *stop = &f->low_stops[0];
    CHECK_NEAR(stop->end_v.value, 10.11, 1e-9);
    CHECK(stop->load_a.lo < 25.1 && 25.1 < stop->load_a.hi);
    CHECK(stop->recovery_v.lo < 12.62 && 12.62 < stop->recovery_v.hi);
    CHECK_TEXT(stop->woke_by, "its button");
    CHECK(stop->woke_after_s.lo < 555 && 555 < stop->woke_after_s.hi);
    CHECK(f->hold_count == 1 && f->holds[0].end == HOLD_EMPTY);
    CHECK(strstr(f->holds[0].words, "to cut-off") != NULL && strstr(f->holds[0].words, "no trip") != NULL);
    typed_end(&typed);
}

TEST(without_a_clock_no_durations_are_told)
{
    struct typed typed = at_bench();
    typed_examine(&typed, "direction: discharge\n"
                          "13.31 V  0.0 A\n"
                          "13.05 V  25.1 A  1.2 Ah load on\n"
                          "12.31 V  25.0 A  80.1 Ah\n"
                          "10.11 V  25.1 A  99.3 Ah\n"
                          "--  cut-off, meter dark\n");
    const struct findings *f = &typed.findings;
    CHECK(f->low_stop_count == 1 && f->hold_count == 1);
    CHECK(!measure_known(&f->holds[0].held_s) && f->holds[0].held_s.why[0] != '\0');
    CHECK(f->trip_count == 1 && !measure_known(&f->trips[0].delay_s));
    typed_end(&typed);
}
