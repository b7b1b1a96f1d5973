#include "handmade.h"

#include "battery/load_law.h"
#include "numeric/random.h"

enum { COUNT = 1200 };

/* A load of current level · (V / 13)^n, volts falling from 13.4 V by `fall_v`, with noise and digits of
 * 0.01 A and 0.001 V. */
struct drill {
    struct handmade made;
    struct run run;
    struct phase phases[2];
    struct throughput through;
    struct findings findings;
    struct delivery delivery;
};

static double rounded(double x, double digit)
{
    return round(x / digit) * digit;
}

static void drill_start(struct drill *drill, double n, double level_a, double second_level_a, double fall_v,
                        double noise_v, uint32_t seed)
{
    *drill = (struct drill){0};
    handmade_start(&drill->made, COUNT);
    struct random *random = random_new(seed);
    for (int k = 0; k < COUNT; k++) {
        double x = (double)k / COUNT, v = 13.4 - fall_v * (0.4 * x + 0.6 * x * x * x);
        double level = k < COUNT / 2 ? level_a : second_level_a;
        double a = level * pow(v / 13, n) + 0.02 * random_normal(random);
        handmade_reading(&drill->made, 5.0 * k, rounded(v + noise_v * random_normal(random), 0.001),
                         rounded(a, 0.01));
    }
    random_free(random);
    drill->made.series.resolution[CHANNEL_VOLTAGE] = 0.001;
    drill->made.series.resolution[CHANNEL_CURRENT] = 0.01;
    handmade_close(&drill->made, NULL, 0);
    for (int p = 0; p < 2; p++)
        drill->phases[p] = (struct phase){.kind = RUN_DISCHARGE,
                                          .first = (size_t)p * COUNT / 2,
                                          .last = (size_t)(p + 1) * COUNT / 2 - 1,
                                          .start_s = 3000.0 * p,
                                          .end_s = 3000.0 * (p + 1) - p,
                                          .mean_v = 13,
                                          .mean_a = p == 0 ? level_a : second_level_a};
    drill->run = (struct run){.kind = RUN_DISCHARGE, .last = COUNT - 1, .phases = 2};
    drill->findings =
        (struct findings){.phases = drill->phases, .phase_count = 2, .noise_v = noise_v, .noise_a = 0.02};
    drill->delivery =
        (struct delivery){.basis = &drill->made.basis, .runs = &drill->run, .throughs = &drill->through};
}

/* That the amps of a constant-power load rise as volts fall: common practice, no source; here by
 * definition. */
TEST(laws_are_told_apart)
{
    const enum load_law laws[] = {LOAD_POWER, LOAD_CURRENT, LOAD_RESISTANCE};
    const char *const words[] = {"kept its power, about 325 W", "kept its current, about 25 A",
                                 "kept its resistance, about 0.52 ohm"};
    for (int k = 0; k < 3; k++) {
        struct drill drill;
        drill_start(&drill, k - 1, 25, 25, 1.6, 0.003, 71);
        struct load_finding load = load_law_find(&drill.delivery, &drill.findings);
        CHECK(load.law == laws[k]);
        CHECK_NEAR(load.exponent.value, k - 1, 0.03);
        CHECK(load.exponent.lo < k - 1 && k - 1 < load.exponent.hi);
        CHECK(strstr(load.words, words[k]) != NULL);
        handmade_free(&drill.made);
    }
}

TEST(a_load_switched_between_is_one_law_at_two_levels)
{
    struct drill drill;
    drill_start(&drill, -1, 12, 31, 1.6, 0.003, 73);
    struct load_finding load = load_law_find(&drill.delivery, &drill.findings);
    CHECK(load.law == LOAD_POWER);
    CHECK_NEAR(load.exponent.value, -1, 0.03);
    handmade_free(&drill.made);
}

TEST(volts_that_hardly_moved_tell_nothing)
{
    struct drill drill;
    drill_start(&drill, -1, 25, 25, 0.006, 0.003, 79);
    struct load_finding load = load_law_find(&drill.delivery, &drill.findings);
    CHECK(load.law == LOAD_UNKNOWN && strstr(load.words, "cannot tell") != NULL && isnan(load.level));
    handmade_free(&drill.made);
}

TEST(a_load_between_two_laws_is_named_neither)
{
    struct drill drill;
    drill_start(&drill, -0.5, 25, 25, 1.6, 0.003, 83);
    struct load_finding load = load_law_find(&drill.delivery, &drill.findings);
    CHECK(load.law == LOAD_UNKNOWN && strstr(load.words, "between") != NULL);
    CHECK_NEAR(load.exponent.value, -0.5, 0.03);
    handmade_free(&drill.made);
}

/* Noise of the volts as large as half their fall in the first phase would flatten the slope of the plain regression. */
TEST(the_interval_holds_the_exponent_in_noise)
{
    int held = 0;
    double sum = 0;
    for (uint32_t trial = 0; trial < 100; trial++) {
        struct drill drill;
        drill_start(&drill, -1, 25, 25, 0.5, 0.07, 9100 + trial);
        struct load_finding load = load_law_find(&drill.delivery, &drill.findings);
        held += load.exponent.lo < -1 && -1 < load.exponent.hi;
        sum += load.exponent.value;
        handmade_free(&drill.made);
    }
    printf("    held in %d of 100, mean %.3f\n", held, sum / 100);
    CHECK(held >= 88);
    CHECK_NEAR(sum / 100, -1, 0.03);
}
