#include "battery/resistance.h"
#include "battery/segment.h"
#include "handmade.h"
#include "numeric/random.h"
#include "rehearsed.h"

/* One RC pair behind a resistance at constant resting volts: after a step at s = 0 from rest,
 * V = E - I (R0 + R1 (1 - exp(-s / tau))). */
static const double resting_v = 13.21, r0 = 0.0103, r1 = 0.0049, tau_s = 8.3;

static double ohms_after(double s)
{
    return s < 0 ? 0 : r0 + r1 * (1 - exp(-s / tau_s));
}

static struct findings found;
static struct notices notices;

static void examine(struct handmade *made)
{
    CHECK(trace_of_series(&made->series, &made->trace));
    findings_free(&found);
    notices_free(&notices);
    CHECK(segment(&made->trace, &made->rig, &found, &notices));
    resistance_find(&made->series, &made->trace, &made->rig, &found);
}

/* Readings every `period_s` for a minute before and a minute after a step to `amps` at `step_s`. */
static struct handmade step_log(double amps, double step_s, double period_s, double skew_s, double noise_v,
                                struct random *random)
{
    struct handmade made;
    handmade_start(&made, (size_t)(120 / period_s));
    for (size_t k = 0; k < made.series.capacity; k++) {
        double t = -60 + (double)k * period_s;
        double v = resting_v - amps * ohms_after(t - step_s) + noise_v * random_normal(random);
        double a = t + skew_s >= step_s ? amps : 0;
        handmade_reading(&made, t, round(v * 1000) / 1000, a);
    }
    made.series.resolution[CHANNEL_VOLTAGE] = 0.001;
    return made;
}

TEST(resistances_of_an_rc_pair)
{
    enum { TRIALS = 2000 };
    struct random *random = random_new(41);
    size_t held[STEP_DELAYS] = {0}, known[STEP_DELAYS] = {0};
    double width[STEP_DELAYS] = {0}, error2[STEP_DELAYS] = {0};
    for (int trial = 0; trial < TRIALS; trial++) {
        double gain_v = 0.005 * (2 * random_uniform(random) - 1),
               gain_a = 0.01 * (2 * random_uniform(random) - 1);
        double skew = 0.05 * (2 * random_uniform(random) - 1);
        struct handmade made = step_log(31, 0.1 * random_uniform(random), 0.1, skew, 0.0004, random);
        for (size_t k = 0; k < made.series.count; k++) {
            made.series.column[CHANNEL_VOLTAGE][k] *= 1 + gain_v;
            made.series.column[CHANNEL_CURRENT][k] *= 1 + gain_a;
        }
        made.rig.of[CHANNEL_VOLTAGE].gain = 0.005;
        made.rig.of[CHANNEL_CURRENT].gain = 0.01;
        made.rig.skew_s = 0.05;
        examine(&made);
        CHECK(found.step_count == 1 && found.steps[0].resistances == STEP_DELAYS);
        for (int r = 0; r < STEP_DELAYS; r++) {
            const struct resistance *one = &found.steps[0].resistance[r];
            double truth = ohms_after(one->delay_s);
            if (!measure_known(&one->ohm))
                continue; /* volts of before the step beside amps of after it */
            known[r]++;
            held[r] += one->ohm.lo <= truth && truth <= one->ohm.hi;
            width[r] += (one->ohm.hi - one->ohm.lo) / 2;
            error2[r] += pow(one->ohm.value - truth, 2);
        }
        handmade_free(&made);
    }
    for (int r = 0; r < STEP_DELAYS; r++) {
        double n = (double)known[r];
        CHECK(r > 0 ? known[r] == TRIALS : n > 0.6 * TRIALS);
        CHECK((double)held[r] >= 0.935 * n);
        CHECK(width[r] / n < 1.3 * 1.96 * sqrt(error2[r] / n)); /* and no wider than it must be */
    }
    CHECK_NEAR(found.steps[0].resistance[0].delay_s, 0.05, 0.01);
    CHECK_NEAR(found.steps[0].resistance[3].delay_s, 30, 0);
    random_free(random);
}

/* A pack, its loads and a meter that reads as meters do; the truth is the model's own resistance. */
TEST(resistances_of_a_rehearsed_pack)
{
    enum { TRIALS = 60 };
    const struct load_segment segments[] = {
        {.kind = SEGMENT_REST, .duration_s = 300},
        {.kind = SEGMENT_CURRENT, .amount = 20, .duration_s = 1500},
        {.kind = SEGMENT_CURRENT, .amount = 75, .duration_s = 60},
        {.kind = SEGMENT_CURRENT, .amount = 20, .duration_s = 600},
        {.kind = SEGMENT_REST, .duration_s = 200},
    };
    struct instrument_make meter = invented_meter();
    meter.period_s = 0.5;
    struct random *random = random_new(42);
    static struct rehearsed one;
    size_t compared = 0, held = 0;
    for (int trial = 0; trial < TRIALS; trial++) {
        rehearsed_run(&one, segments, 5, 0.8, &meter, random);
        rehearsed_log(&one, &meter);
        findings_free(&found);
        CHECK(segment(&one.trace, &one.rig, &found, &notices));
        resistance_find(&one.series, &one.trace, &one.rig, &found);
        CHECK(found.step_count == 4 && one.truth.steps_count == 4);
        for (size_t k = 0; k < found.step_count; k++) {
            CHECK_NEAR(found.steps[k].at_s, one.truth.steps[k].at_s, 1);
            for (int r = 1; r < found.steps[k].resistances; r++)
                for (int d = 0; d < TRUTH_DELAYS; d++)
                    if (found.steps[k].resistance[r].delay_s == truth_delays_s[d]) {
                        const struct measure *ohm = &found.steps[k].resistance[r].ohm;
                        compared++;
                        held += ohm->lo <= one.truth.steps[k].ohm[d] && one.truth.steps[k].ohm[d] <= ohm->hi;
                    }
        }
        rehearsed_close(&one);
    }
    CHECK(compared > 11 * TRIALS); /* not 1 s after a step that a reading was taken within */
    CHECK((double)held >= 0.935 * (double)compared);
    rehearsed_free(&one);
    random_free(random);
}

static struct measure first_ohm(struct handmade *made)
{
    examine(made);
    CHECK(found.step_count == 1);
    struct measure ohm = found.steps[0].resistance[0].ohm;
    handmade_free(made);
    return ohm;
}

TEST(a_slope_before_the_step_is_taken_out)
{
    struct random *random = random_new(43);
    struct handmade made = step_log(31, 0.5, 1, 0, 0.0001, random);
    for (size_t k = 0; k < made.series.count; k++)
        made.series.column[CHANNEL_VOLTAGE][k] += 0.002 * made.series.t_s[k]; /* still recovering */
    struct measure ohm = first_ohm(&made);
    CHECK_NEAR(ohm.value, ohms_after(0.5), 3e-5);
    random_free(random);
}

TEST(leads_are_taken_off)
{
    struct random *random = random_new(44);
    struct handmade made = step_log(31, 0.5, 1, 0, 0, random);
    double before = first_ohm(&made).value;
    made = step_log(31, 0.5, 1, 0, 0, random);
    made.rig.sense_leads = false;
    made.rig.lead_ohm = 0.0021;
    made.rig.lead_halfwidth_ohm = 0.0004;
    struct measure ohm = first_ohm(&made);
    CHECK_NEAR(ohm.value, before - 0.0021, 1e-9);
    CHECK_NEAR(u_of(&ohm, CAUSE_LEADS), 0.0004 / sqrt(3), 1e-9);
    random_free(random);
}

TEST(what_is_no_resistance_says_why)
{
    struct random *random = random_new(45);
    /* Amps of this row, volts of the row before. */
    struct handmade made = step_log(31, 0.05, 0.1, 0, 0.0001, random);
    double *v = made.series.column[CHANNEL_VOLTAGE];
    for (size_t k = made.series.count - 1; k > 0; k--)
        v[k] = v[k - 1];
    struct measure ohm = first_ohm(&made);
    CHECK(!measure_known(&ohm) && strstr(ohm.why, "older") != NULL);
    CHECK(measure_known(&found.steps[0].resistance[1].ohm));
    /* A meter that takes two seconds to come round. */
    made = step_log(31, 0.05, 0.1, 0, 0.0001, random);
    for (size_t k = 600; k < 620; k++)
        made.series.column[CHANNEL_CURRENT][k] = 31 * (double)(k - 599) / 21;
    made.rig.averaging_s = 2;
    ohm = first_ohm(&made);
    CHECK(!measure_known(&ohm) && strstr(ohm.why, "averages") != NULL);
    /* A reading within the step is passed over, by a meter that averages and by one that does not say so. */
    for (int told = 0; told < 2; told++) {
        made = step_log(31, -0.05, 0.1, 0, 0, random);
        made.series.column[CHANNEL_CURRENT][600] = 31 * 0.4;
        made.series.column[CHANNEL_VOLTAGE][600] = made.series.column[CHANNEL_VOLTAGE][599] - 0.1;
        made.rig.averaging_s = told ? 0.06 : 0;
        ohm = first_ohm(&made);
        CHECK_NEAR(found.steps[0].resistance[0].delay_s, told ? 0.13 : 0.15, 1e-6);
        CHECK_NEAR(ohm.value, ohms_after(0.15), 3e-5);
    }
    /* The sample is disconnected: volts and amps vanish together. */
    made = step_log(0, 0, 1, 0, 0.0001, random);
    for (size_t k = 0; k < made.series.count; k++) {
        bool on = made.series.t_s[k] < 0;
        made.series.column[CHANNEL_CURRENT][k] = on ? 20 : 0;
        made.series.column[CHANNEL_VOLTAGE][k] = on ? 10.4 : 0.2;
    }
    ohm = first_ohm(&made);
    CHECK(!measure_known(&ohm) && strstr(ohm.why, "disconnected") != NULL);
    /* A charger wakes it: volts come back as its current flows in, with the sign of a resistance. */
    made = step_log(0, 0, 1, 0, 0.0001, random);
    for (size_t k = 0; k < made.series.count; k++) {
        bool dark = made.series.t_s[k] < 0;
        made.series.column[CHANNEL_CURRENT][k] = dark ? 0 : -20;
        made.series.column[CHANNEL_VOLTAGE][k] = dark ? 0.3 : 10.8;
    }
    ohm = first_ohm(&made);
    CHECK(!measure_known(&ohm) && strstr(ohm.why, "disconnected") != NULL);
    random_free(random);
}

TEST(a_gap_of_the_clock_at_the_step)
{
    struct random *random = random_new(48);
    for (int bounded = 0; bounded < 2; bounded++) {
        struct handmade made = step_log(31, 0.05, 0.1, 0, 0.0001, random);
        series_gap(&made.series, (struct gap){601, 0.1, 0, bounded ? 2 : INFINITY, "restarted"});
        examine(&made);
        const struct measure *ohm = &found.steps[0].resistance[1].ohm;
        CHECK(measure_known(ohm) == bounded && found.step_count == 1);
        if (bounded)
            CHECK_REL(u_of(ohm, CAUSE_STEP_INSTANTS), 1.95 * r1 / tau_s * exp(-1 / tau_s) / sqrt(3), 0.1);
        handmade_free(&made);
    }
    random_free(random);
}

TEST(volts_read_a_row_ahead_of_the_amps)
{
    struct random *random = random_new(46);
    struct handmade made = step_log(31, 0.05, 0.1, 0, 0.0003, random);
    double *v = made.series.column[CHANNEL_VOLTAGE];
    for (size_t k = 0; k + 1 < made.series.count; k++)
        v[k] = v[k + 1];
    made.rig.skew_s = NAN;
    struct measure ohm = first_ohm(&made);
    CHECK(ohm.lo <= ohms_after(0.05) && ohms_after(0.05) <= ohm.hi);
    CHECK_REL(ohm.value, r0, 0.05);
    random_free(random);
}

TEST(volts_an_hour_after_the_step_are_the_discharge)
{
    struct handmade made;
    handmade_start(&made, 6);
    for (int k = 0; k < 6; k++)
        handmade_reading(&made, 3100.0 * k, k < 2 ? 13.4 : 13.2 - 0.1 * k, k < 2 ? 0 : 20.3);
    examine(&made);
    CHECK(found.step_count == 1 && found.steps[0].resistances == 1);
    CHECK(!measure_known(&found.steps[0].resistance[0].ohm));
    CHECK(strstr(found.steps[0].resistance[0].ohm.why, "after the step") != NULL);
    handmade_free(&made);
}

TEST(a_step_within_the_noise_has_none)
{
    struct random *random = random_new(47);
    struct handmade made = step_log(0, 0, 1, 0, 0.0003, random);
    double *a = made.series.column[CHANNEL_CURRENT];
    for (size_t k = 0; k < made.series.count; k++)
        a[k] = 20 + (k > 60 ? 3.1 : 0) + 0.5 * random_normal(random);
    struct measure ohm = first_ohm(&made);
    CHECK(!measure_known(&ohm) && strstr(ohm.why, "too small") != NULL);
    findings_free(&found);
    random_free(random);
}
