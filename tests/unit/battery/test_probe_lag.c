#include "check.h"

#include "battery/probe_lag.h"
#include "numeric/random.h"

enum { READINGS = 900 };
static double t_s[READINGS], degc[READINGS];

/* A place that warms along a ramp, seen through a probe of first order: T = place − rτ(1 − e^(−t/τ)). */
static void ramp(double from_degc, double per_s, double tau_s, double noise_k, uint32_t seed)
{
    struct random *random = random_new(seed);
    for (size_t k = 0; k < READINGS; k++) {
        t_s[k] = 0.5 * (double)k;
        degc[k] = from_degc + per_s * t_s[k] - per_s * tau_s * (1 - exp(-t_s[k] / tau_s)) + noise_k * random_normal(random);
    }
    random_free(random);
}

TEST(a_step_gives_the_constant)
{
    struct random *random = random_new(417);
    for (size_t k = 0; k < 240; k++) {
        t_s[k] = 100 + 0.5 * (double)k;
        degc[k] = 2.1 + 21.4 * exp(-(t_s[k] - 100) / 13.7) + 0.05 * random_normal(random);
    }
    random_free(random);
    struct measure tau = probe_lag_from_step(t_s, degc, 240);
    CHECK(tau.lo <= 13.7 && 13.7 <= tau.hi);
    CHECK(tau.u < 0.2);
    CHECK(!measure_known(&(struct measure){.value = probe_lag_from_step(t_s, degc, 30).value})); /* 15 s of it */
    CHECK(!measure_known(&(struct measure){.value = probe_lag_from_step(t_s, degc, 4).value}));
}

/* At 200 s the place is at −5 + 0.031 · 200 = 1.2 °C, the probe some 0.43 K behind. */
TEST(the_place_is_found_ahead_of_a_lagging_probe)
{
    int held = 0;
    enum { TRIALS = 200 };
    struct measure tau = measure_of(14);
    tau.u = 0.8, tau.dof = INFINITY;
    for (uint32_t seed = 1; seed <= TRIALS; seed++) {
        ramp(-5, 0.031, 14, 0.06, seed);
        struct measure place = probe_lag_place(t_s, degc, READINGS, 200, 10, &tau, 60);
        held += place.lo <= 1.2 && 1.2 <= place.hi;
        CHECK_NEAR(place.value, 1.2, 0.25);
    }
    CHECK(held >= 0.93 * TRIALS);
}

TEST(an_unknown_lag_is_a_doubt_and_not_nothing)
{
    ramp(-5, 0.031, 14, 0.02, 5);
    struct measure tau = measure_unknown("not stated");
    struct measure place = probe_lag_place(t_s, degc, READINGS, 200, 10, &tau, 60);
    CHECK(place.lo <= 1.2 && 1.2 <= place.hi && place.hi - place.lo > 1.0);
    struct measure none = probe_lag_place(t_s, degc, READINGS, 900, 10, &tau, 60);
    CHECK(!measure_known(&none) && none.why[0] != '\0');
}
