#include "handmade.h"

#include "battery/conditions.h"
#include "battery/doubts.h"
#include "battery/ripple.h"

static bool said(const struct notices *notices, const char *words)
{
    for (size_t k = 0; k < notices->count; k++)
        if (strstr(notices->items[k].text, words) != NULL)
            return true;
    return false;
}

/* Rest with `rest_a`, then 20 A from reading 300 on, with a hole of `hole_s` in the load. */
struct drill {
    struct handmade made;
    struct run runs[2];
    struct throughput throughs[2];
    struct findings findings;
    struct notices notices;
};

static void drill_start(struct drill *drill, double rest_a, double hole_s)
{
    *drill = (struct drill){0};
    handmade_start(&drill->made, 1000);
    for (int k = 0; k < 1000; k++)
        handmade_reading(&drill->made, 2.0 * k + (k > 650 ? hole_s : 0), 13, k < 300 ? rest_a : 20);
    drill->made.series.resolution[CHANNEL_CURRENT] = 0.01;
    drill->made.rig.of[CHANNEL_CURRENT] = (struct accuracy){.gain = 0.01, .digits = 2};
    handmade_close(&drill->made, NULL, 0);
    drill->runs[0] = (struct run){.kind = RUN_REST, .first = 0, .last = 299};
    drill->runs[1] = (struct run){.kind = RUN_DISCHARGE, .first = 300, .last = 999};
    for (int k = 0; k < 2; k++) {
        const struct run *run = &drill->runs[k];
        drill->throughs[k] =
            throughput_over(&drill->made.basis, run->first, run->last, drill->made.trace.t_s[run->first],
                            drill->made.trace.t_s[run->last]);
    }
    drill->findings = (struct findings){.runs = drill->runs, .run_count = 2, .period_s = 2, .has_test = true};
    drill->findings.test_ah = throughput_charge_ah(&drill->made.basis, &drill->throughs[1], 1);
    drill->findings.test_duration_s = throughput_duration_s(&drill->made.basis, &drill->throughs[1]);
    doubts_say(&drill->made.basis, &drill->findings, drill->throughs, &drill->notices);
}

static void drill_end(struct drill *drill)
{
    notices_free(&drill->notices);
    handmade_free(&drill->made);
}

TEST(a_plain_log_raises_no_doubt)
{
    struct drill drill;
    drill_start(&drill, 0.02, 0);
    CHECK(drill.notices.count == 0);
    drill_end(&drill);
}

TEST(a_current_at_rest_is_said_and_not_subtracted)
{
    struct drill drill;
    drill_start(&drill, 0.31, 0);
    CHECK(drill.notices.count == 1 && said(&drill.notices, "At rest the current reads 0.31 A"));
    CHECK(said(&drill.notices, "0.12 Ah")); /* 0.31 A over 1,398 s */
    CHECK_REL(drill.findings.test_ah.value, 20 * 1398.0 / 3600, 1e-9);
    drill_end(&drill);
}

TEST(one_reading_at_rest_is_no_average)
{
    struct drill drill;
    drill_start(&drill, 0.04, 0); /* twice the offset of 0.02 A */
    CHECK(said(&drill.notices, "At rest"));
    struct notices notices = {0};
    drill.made.basis.noise_a = 0.02;
    drill.runs[0].first = drill.runs[0].last = 299;
    drill.throughs[0] = throughput_over(&drill.made.basis, 299, 299, 598, 599);
    doubts_say(&drill.made.basis, &drill.findings, drill.throughs, &notices);
    CHECK(notices.count == 0);
    notices_free(&notices);
    drill_end(&drill);
}

TEST(a_hole_under_load_is_said)
{
    struct drill drill;
    drill_start(&drill, 0, 333);
    CHECK(drill.notices.count == 1 && said(&drill.notices, "up to 335 s long"));
    drill_end(&drill);
}

TEST(a_beginning_under_load_and_open_gaps_are_said)
{
    struct drill drill;
    drill_start(&drill, 0, 0);
    struct notices notices = {0};
    drill.findings.runs = drill.runs + 1;
    drill.findings.run_count = 1;
    drill.findings.beginning_unseen = true;
    series_gap(&drill.made.series, (struct gap){500, 2, 0, INFINITY, "made here"});
    drill.throughs[1] = throughput_over(&drill.made.basis, 300, 999, 600, 1998);
    doubts_say(&drill.made.basis, &drill.findings, drill.throughs + 1, &notices);
    CHECK(said(&notices, "begins while current flows") && said(&notices, "nothing bounds"));
    notices_free(&notices);
    drill_end(&drill);
}

TEST(ripple_only_where_there_may_be_one)
{
    struct rig rig = perfect_rig();
    struct asked asked = asked_nothing();
    struct step step = {.resistances = 1};
    step.resistance[0].ohm = measure_of(0.02);
    struct findings findings = {.steps = &step, .step_count = 1, .load = {.law = LOAD_POWER}};
    struct notices notices = {0};
    struct ripple ripple = ripple_find(&rig, &asked, &findings, &notices);
    CHECK_NEAR(ripple.square_hi, 0.5, 0); /* sin² drawing: its variance over the square of its mean */
    CHECK_NEAR(ripple.square_lo, 0, 0);
    CHECK_NEAR(ripple.ohm, 0.02, 0);
    CHECK(notices.count == 1);
    findings.load.law = LOAD_CURRENT;
    ripple = ripple_find(&rig, &asked, &findings, &notices);
    CHECK(ripple.square_hi == 0 && notices.count == 1);
    asked.stated_ripple = 0.3;
    ripple = ripple_find(&rig, &asked, &findings, &notices);
    CHECK_NEAR(ripple.square_lo, 0.09, 1e-12);
    CHECK_NEAR(ripple.square_hi, 0.09, 1e-12);
    step.resistances = 2; /* the first sample barred: the next delay shows one */
    step.resistance[1].ohm = step.resistance[0].ohm;
    step.resistance[0].ohm = measure_unknown("barred");
    CHECK_NEAR(ripple_find(&rig, &asked, &findings, &notices).ohm, 0.02, 0);
    findings.step_count = 0; /* no step: no resistance, and that is said */
    ripple = ripple_find(&rig, &asked, &findings, &notices);
    CHECK(ripple.square_hi == 0 && notices.count == 2 && said(&notices, "no step shows"));
    findings.noise_v = NAN; /* no volts: no energy that it could take from */
    ripple = ripple_find(&rig, &asked, &findings, &notices);
    CHECK(ripple.square_hi == 0 && notices.count == 2);
    notices_free(&notices);
}
