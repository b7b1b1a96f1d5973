#include "battery/pulse_pair.h"
#include "battery/segment.h"
#include "handmade.h"

/* Rest, I1, I2, rest; volts as stated at each, at ten readings a second. */
static struct findings pairs_of(double i1, double first_s, double i2, double second_s, double rated_ah)
{
    struct handmade made;
    handmade_start(&made, 6000);
    double s = 0;
    for (; s < 60; s += 0.1)
        handmade_reading(&made, s, 3.295, 0);
    for (double end = s + first_s - 0.01; s < end; s += 0.1)
        handmade_reading(&made, s, 3.285, i1);
    for (double end = s + second_s - 0.01; s < end; s += 0.1)
        handmade_reading(&made, s, 3.245, i2);
    for (double end = s + 60; s < end; s += 0.1)
        handmade_reading(&made, s, 3.295, 0);
    CHECK(trace_of_series(&made.series, &made.trace));
    struct findings findings = {0};
    struct notices notices = {0};
    CHECK(segment(&made.trace, &made.rig, &findings, &notices));
    struct asked asked = asked_nothing();
    asked.rated_ah = rated_ah;
    pulse_pairs_find(&made.series, &made.trace, &made.rig, &asked, &findings);
    handmade_free(&made);
    return findings;
}

/* 100 Ah; 20 A 3.285 V, 100 A 3.245 V: (3.285 - 3.245) / (100 - 20) = 0.500 mΩ. Worked by hand from the
 * definition in IEC 61960-3. */
TEST(worked_example)
{
    struct findings findings = pairs_of(20, 10, 100, 1, 100);
    CHECK(findings.pair_count == 1);
    const struct pulse_pair *pair = &findings.pairs[0];
    CHECK_NEAR(pair->ohm.value, 0.0005, 1e-9);
    CHECK_NEAR(pair->u1_v, 3.285, 1e-9);
    CHECK_NEAR(pair->u2_v, 3.245, 1e-9);
    CHECK_NEAR(pair->i1_a, 20, 1e-9);
    CHECK_TEXT(pair->deviation, "");
    findings_free(&findings);
    findings = pairs_of(20, 30, 100, 5, 100); /* the other standard's times */
    CHECK(findings.pair_count == 1);
    CHECK_TEXT(findings.pairs[0].deviation, "");
    findings_free(&findings);
}

TEST(departures_are_named)
{
    struct findings findings = pairs_of(25, 14, 90, 1, 100);
    CHECK(findings.pair_count == 1);
    CHECK_TEXT(findings.pairs[0].deviation,
               "first pulse 14 s, not 10 s; I1 0.25 I_t, not 0.2; I2 0.9 I_t, not 1; "
               "held against IEC 61960-3");
    findings_free(&findings);
    findings = pairs_of(20, 30, 100, 2, NAN);
    CHECK_TEXT(findings.pairs[0].deviation,
               "second pulse 2 s, not 5 s; I_t not known; held against IEC 62620");
    CHECK_NEAR(findings.pairs[0].ohm.value, 0.0005, 1e-9);
    findings_free(&findings);
}

TEST(other_pulses_are_no_pair)
{
    struct findings findings = pairs_of(20, 300, 100, 1, 100); /* a discharge with a burst */
    CHECK(findings.pair_count == 0);
    findings_free(&findings);
    findings = pairs_of(100, 10, 20, 1, 100);
    CHECK(findings.pair_count == 0);
    findings_free(&findings);
}
