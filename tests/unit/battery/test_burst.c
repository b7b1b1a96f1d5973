#include "battery/burst.h"
#include "battery/ending.h"
#include "battery/resistance.h"
#include "battery/segment.h"
#include "handmade.h"
#include "numeric/random.h"
#include "rehearsed.h"

static struct rehearsed bench;
static struct truth twin;
static struct findings found;
static struct notices notices;

static void examine(void)
{
    struct asked asked = asked_nothing();
    asked.cells = 4;
    asked.lithium_iron_phosphate = true;
    findings_free(&found);
    CHECK(segment(&bench.trace, &bench.rig, &found, &notices));
    endings_find(&bench.series, &bench.trace, &bench.rig, &asked, &found);
    resistance_find(&bench.series, &bench.trace, &bench.rig, &found);
    found.test_wh = measure_of(bench.truth.end_wh);
    bursts_find(&bench.series, &bench.trace, &bench.rig, &found, &notices);
}

/* A base of 300 W, some minutes of four times that at burst_s, and on until the BMS opens. `cold_k` 0: warmth
 * changes nothing. */
static void rehearse_burst(double burst_s, double length_s, double cold_k, const struct instrument_make *meter,
                           struct random *random)
{
    static struct load_segment segments[] = {
        {.kind = SEGMENT_REST, .duration_s = 247},
        {.kind = SEGMENT_POWER, .amount = 288, .idle_w = 11},
        {.kind = SEGMENT_POWER, .amount = 1163, .idle_w = 11},
        {.kind = SEGMENT_POWER, .amount = 288, .idle_w = 11, .duration_s = INFINITY},
        {.kind = SEGMENT_REST, .duration_s = 183},
    };
    segments[1].duration_s = burst_s;
    segments[2].duration_s = length_s;
    rehearsed_cold_k = cold_k;
    rehearsed_run(&bench, segments, 5, 1, meter, random);
    rehearsed_cold_k = NAN;
    rehearsed_log(&bench, meter);
}

/* The truth: the same pack without the burst, compared at equal charge until half an hour after it, when the
 * relaxation is over. In these packs warmth changes nothing, since the base after a burst is that of a
 * warmer pack, and the twin's is not. */
TEST(the_cost_against_a_twin_without_the_burst)
{
    enum { TRIALS = 40 };
    static const double bursts_s[] = {3000, 6311, 9000}, lengths_s[] = {60, 240, 500};
    struct random *random = random_new(70);
    size_t all = 0;
    for (int b = 0; b < 9; b++) {
        double length_s = lengths_s[b / 3], off = 0;
        size_t held = 0;
        for (int trial = 0; trial < TRIALS; trial++) {
            struct instrument_make meter = invented_meter();
            meter.period_s = trial % 2 ? 1 : length_s / 48;
            if (trial % 4 == 0) /* a bench logger's digits, so that the base shows its curve */
                meter.v.digit = meter.v.noise = 0.0005;
            rehearse_burst(bursts_s[b % 3], length_s, 0, &meter, random);
            struct burst_cost truth =
                rehearse_burst_cost(&bench.fresh, &bench.program, 2, 1800, &bench.truth, &twin);
            examine();
            CHECK(found.burst_count == 1);
            const struct burst *burst = &found.bursts[0];
            held += burst->cost_wh.lo <= truth.energy_wh && truth.energy_wh <= burst->cost_wh.hi;
            off += (burst->cost_wh.value / truth.energy_wh - 1) / TRIALS;
            CHECK_REL(burst->check_wh, truth.energy_wh, 0.25); /* a rule of thumb */
            CHECK_REL(burst->cost_share.value, truth.energy_wh / bench.truth.end_wh, 0.08);
            CHECK(burst->cost_wh.u < 0.06 * truth.energy_wh);
            CHECK_NEAR(burst->start_s, 247 + bursts_s[b % 3], 5.1);
            CHECK_NEAR(burst->base_a, 24, 2);
            /* Hardly any charge: the truth is within a twentieth of an ampere-hour of none. */
            CHECK(fabs(truth.charge_ah) < 0.05 && burst->charge_bound_ah < 0.2);
            CHECK(strstr(burst->charge_bound, "next to nothing") != NULL);
            rehearsed_close(&bench);
        }
        CHECK(held >= 0.875 * TRIALS);
        CHECK(fabs(off) < 0.02);
        all += held;
    }
    CHECK(all >= 0.935 * 9 * TRIALS);
    random_free(random);
}

TEST(warmth_is_the_bases)
{
    struct random *random = random_new(72);
    struct instrument_make meter = invented_meter();
    rehearse_burst(6311, 240, 2400, &meter, random);
    struct burst_cost truth = rehearse_burst_cost(&bench.fresh, &bench.program, 2, 1800, &bench.truth, &twin);
    examine();
    CHECK(truth.charge_ah < 0); /* warmed, it gives more */
    CHECK_REL(found.bursts[0].cost_wh.value, truth.energy_wh, 0.04);
    rehearsed_close(&bench);
    random_free(random);
}

TEST(a_burst_that_reaches_the_cut_off_costs_charge)
{
    const struct load_segment segments[] = {
        {.kind = SEGMENT_POWER, .amount = 300, .duration_s = 8000},
        {.kind = SEGMENT_POWER, .amount = 900, .duration_s = INFINITY},
        {.kind = SEGMENT_REST, .duration_s = 183},
    };
    struct instrument_make meter = invented_meter();
    struct random *random = random_new(71);
    rehearsed_run(&bench, segments, 3, 0.7, &meter, random);
    rehearsed_log(&bench, &meter);
    examine();
    CHECK(bench.truth.end == END_UNDER_VOLTAGE);
    CHECK(found.burst_count == 1 && !measure_known(&found.bursts[0].cost_wh));
    CHECK(isnan(found.bursts[0].charge_bound_ah));
    CHECK(strstr(found.bursts[0].charge_bound, "ended in the burst") != NULL);
    rehearsed_close(&bench);
    random_free(random);
}

/* Volts fall evenly with charge, and jump by R ΔI for the burst: the cost is Q R ΔI exactly. */
TEST(a_plain_resistance)
{
    struct handmade made;
    handmade_start(&made, 9000);
    for (int k = 0; k < 9000; k++) {
        double a = k >= 4000 && k < 4120 ? 80 : 20,
               charge_ah = (20.0 * k + 60 * fmin(120, fmax(0, k - 4000))) / 3600;
        handmade_reading(&made, k, 13.2 - 0.004 * charge_ah - 0.011 * a, a);
    }
    CHECK(trace_of_series(&made.series, &made.trace));
    findings_free(&found);
    CHECK(segment(&made.trace, &made.rig, &found, &notices));
    resistance_find(&made.series, &made.trace, &made.rig, &found);
    found.test_wh = measure_unknown("not asked for");
    bursts_find(&made.series, &made.trace, &made.rig, &found, &notices);
    CHECK(found.burst_count == 1);
    const struct burst *burst = &found.bursts[0];
    double expected = 80 * 120 * 0.011 * 60 / 3600;
    CHECK_REL(burst->cost_wh.value, expected, 2e-3); /* a reading more or less at the edges */
    CHECK_REL(burst->check_wh, expected, 2e-2);
    CHECK_NEAR(burst->sag_v, 0.66, 2e-3);
    CHECK(!measure_known(&burst->cost_share));
    handmade_free(&made);
}

TEST(what_is_no_burst)
{
    static const struct {
        double before_s, a, s, after_s, after_a;
    } cases[] = {
        {600, 8, 60, 600, 20},   /* a pause */
        {600, 60, 900, 600, 20}, /* longer than the base before it */
        {600, 60, 60, 600, 45},  /* no one base */
        {600, 22, 60, 600, 20},  /* hardly more than the base */
    };
    for (size_t c = 0; c < sizeof cases / sizeof *cases; c++) {
        struct handmade made;
        handmade_start(&made, 3000);
        double end1 = cases[c].before_s, end2 = end1 + cases[c].s, end3 = end2 + cases[c].after_s;
        for (double s = 0; s < end3; s++) {
            double a = s < end1 ? 20 : s < end2 ? cases[c].a : cases[c].after_a;
            handmade_reading(&made, s, 13.2 - 0.01 * a - 1e-5 * s, a);
        }
        CHECK(trace_of_series(&made.series, &made.trace));
        findings_free(&found);
        CHECK(segment(&made.trace, &made.rig, &found, &notices));
        bursts_find(&made.series, &made.trace, &made.rig, &found, &notices);
        CHECK(found.burst_count == 0);
        handmade_free(&made);
    }
    findings_free(&found);
    rehearsed_free(&bench);
    truth_free(&twin);
}
