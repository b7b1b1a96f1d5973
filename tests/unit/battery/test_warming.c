#include "check.h"

#include "battery/warming.h"
#include "numeric/budget.h"
#include "numeric/random.h"

enum { READINGS = 3000 };
static double t_s[READINGS], degc[READINGS];

/* A case of 23.4 °C that warms towards 41.7 °C, read with noise and to a tenth. */
static struct warming watch(double step_s, double tau_s, double noise_k, double creep_k, uint32_t seed)
{
    struct random *random = random_new(seed);
    for (size_t k = 0; k < READINGS; k++) {
        t_s[k] = 3017.3 + step_s * (double)k;
        double t = step_s * (double)k;
        degc[k] = 41.7 - 18.3 * exp(-t / tau_s) + creep_k * t / (step_s * READINGS) + noise_k * random_normal(random);
        degc[k] = k % 97 == 5 ? NAN : round(10 * degc[k]) / 10;
    }
    random_free(random);
    struct warming w;
    warming_fit(t_s, degc, READINGS, &w);
    budget_close(&w.final_degc);
    budget_close(&w.tau_s);
    return w;
}

TEST(a_hold_of_several_constants_tells_the_final_temperature)
{
    struct warming w = watch(1.7, 913, 0.08, 0, 5); /* 5.6 constants */
    CHECK(w.final_degc.lo <= 41.7 && 41.7 <= w.final_degc.hi && w.final_degc.hi - w.final_degc.lo < 0.2);
    CHECK(w.tau_s.lo <= 913 && 913 <= w.tau_s.hi);
    CHECK_NEAR(w.lasted, 5.58, 0.05);
    CHECK(w.equilibrium);
    CHECK_NEAR(w.from_degc, 23.4, 0.3);
    CHECK_NEAR(w.to_degc, 41.6, 0.15);
}

TEST(two_constants_are_enough_for_a_temperature_and_not_for_equilibrium)
{
    struct warming w = watch(1.7, 2207, 0.08, 0, 6); /* 2.3 constants: still 1.8 K to go */
    CHECK(measure_known(&w.final_degc) && !w.equilibrium);
    CHECK(w.final_degc.lo <= 41.7 && 41.7 <= w.final_degc.hi);
}

TEST(a_shorter_hold_tells_how_much_longer)
{
    struct warming w = watch(1.7, 4100, 0.08, 0, 7); /* 1.2 constants */
    CHECK(!measure_known(&w.final_degc) && !w.equilibrium);
    CHECK(strstr(w.final_degc.why, "min more") != NULL);
    CHECK_REL(w.tau_s.value, 4100, 0.1);
    w = watch(0.1, 4100, 0.08, 0, 8); /* a straight line */
    CHECK(!measure_known(&w.final_degc) && w.final_degc.why[0] != '\0');
}

TEST(the_interval_holds_the_truth_as_often_as_it_says)
{
    int held = 0, held_tau = 0;
    enum { TRIALS = 100 };
    for (uint32_t seed = 1; seed <= TRIALS; seed++) {
        struct warming w = watch(1.7, 1500, 0.1, 0, seed);
        held += w.final_degc.lo <= 41.7 && 41.7 <= w.final_degc.hi;
        held_tau += w.tau_s.lo <= 1500 && 1500 <= w.tau_s.hi;
    }
    CHECK(held >= 0.93 * TRIALS && held_tau >= 0.9 * TRIALS);
}

/* A room that grows warmer meanwhile, by half a kelvin, widens what is told. */
TEST(heat_that_changes_counts_as_doubt)
{
    struct warming steady = watch(1.7, 913, 0.08, 0, 5), creeping = watch(1.7, 913, 0.08, 0.5, 5);
    CHECK(creeping.final_degc.u > 2 * steady.final_degc.u);
    CHECK(creeping.final_degc.lo <= 42.2 && 41.7 <= creeping.final_degc.hi);
}

/* Heat that grows by a fifth meanwhile makes the constant look longer than it is. */
TEST(the_constant_is_in_doubt_where_heat_changes)
{
    for (uint32_t seed = 31; seed < 36; seed++) {
        struct warming w = watch(1.7, 2207, 0.08, 3.6, seed);
        CHECK(w.tau_s.value > 1.1 * 2207);
        CHECK(w.tau_s.lo <= 2207 && 2207 <= w.tau_s.hi);
    }
}

TEST(too_few_or_nothing_that_moves_tells_nothing)
{
    struct warming w;
    watch(1.7, 913, 0.08, 0, 5);
    warming_fit(t_s, degc, 5, &w);
    CHECK(!measure_known(&w.final_degc) && isnan(w.from_degc));
    for (size_t k = 0; k < READINGS; k++)
        degc[k] = 21.3 + (double)(k % 2) / 10;
    warming_fit(t_s, degc, READINGS, &w);
    CHECK(!measure_known(&w.final_degc) && strstr(w.final_degc.why, "only") != NULL && !w.equilibrium);
    CHECK_NEAR(w.to_degc, 21.35, 0.05);
    warming_fit(t_s, degc, 0, &w);
    CHECK(!measure_known(&w.final_degc));
}
