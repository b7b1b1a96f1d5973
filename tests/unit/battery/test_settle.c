#include "check.h"

#include "battery/settle.h"
#include "numeric/budget.h"
#include "numeric/random.h"

enum { READINGS = 4000 };
static double t_s[READINGS], v[READINGS];

static void make(double step_s, double settled_v, double a1, double tau1_s, double a2, double tau2_s, double noise_v,
                 uint32_t seed)
{
    struct random *random = random_new(seed);
    for (size_t k = 0; k < READINGS; k++) {
        t_s[k] = step_s * (double)k + 0.37;
        v[k] = settled_v + a1 * exp(-t_s[k] / tau1_s) + a2 * exp(-t_s[k] / tau2_s) + noise_v * random_normal(random);
    }
    random_free(random);
}

static struct settling find(size_t n)
{
    struct settling s;
    settle_find(t_s, v, n, &s);
    budget_close(&s.settled_v);
    return s;
}

TEST(two_constants_are_found_and_the_settled_volts_held)
{
    make(2.3, 13.317, 0.412, 41, 0.187, 1730, 0.0004, 20261);
    struct settling s = find(READINGS);
    CHECK(s.terms == 2 && s.wait_s == 0);
    CHECK_REL(s.tau_s[0], 41, 0.05);
    CHECK_REL(s.tau_s[1], 1730, 0.03);
    CHECK_NEAR(s.a_v[1], 0.187, 0.005);
    CHECK(s.settled_v.lo <= 13.317 && 13.317 <= s.settled_v.hi);
    CHECK(s.settled_v.hi - s.settled_v.lo < 0.004);
}

TEST(the_interval_holds_the_truth_as_often_as_it_says)
{
    int held = 0;
    enum { TRIALS = 200 };
    for (uint32_t seed = 1; seed <= TRIALS; seed++) {
        make(1.9, 13.291, 0.35, 63, 0.153, 1310, 0.001, seed);
        struct settling s = find(READINGS);
        held += measure_known(&s.settled_v) && s.settled_v.lo <= 13.291 && 13.291 <= s.settled_v.hi;
    }
    CHECK(held >= 0.93 * TRIALS);
}

TEST(a_short_rest_tells_how_long_to_wait_and_no_volts)
{
    make(0.5, 13.317, 0.412, 41, 0.187, 1730, 0.0002, 7);
    struct settling s = find(READINGS); /* 2000 s of 5190 */
    CHECK(!measure_known(&s.settled_v) && strstr(s.settled_v.why, "min more") != NULL);
    CHECK_REL(s.wait_s, 3 * 1730 - 2000, 0.2);
    CHECK_NEAR(s.last_v, v[READINGS - 1], 0.004);
}

TEST(one_constant_is_not_taken_for_two)
{
    make(1.1, 12.98, -0.31, 402, 0, 1, 0.0007, 3);
    struct settling s = find(READINGS);
    CHECK(s.terms == 1 && s.a_v[0] < 0);
    CHECK_REL(s.tau_s[0], 402, 0.02);
    CHECK(s.settled_v.lo <= 12.98 && 12.98 <= s.settled_v.hi);
}

TEST(what_does_not_move_is_settled)
{
    make(1.0, 13.33, 0, 1, 0, 1, 0.0005, 11);
    struct settling s = find(READINGS);
    CHECK(s.terms == 0 && s.wait_s == 0 && s.settled_v.lo <= 13.33 && 13.33 <= s.settled_v.hi);
    make(1.0, 13.33, 0, 1, 0, 1, 0, 11);
    CHECK_NEAR(find(READINGS).settled_v.value, 13.33, 1e-12);
}

/* Diffusion into a slab relaxes as Σ e^(−n²t/τ)/n² (Crank 1975, The Mathematics of Diffusion, 4.3.1): no sum of two. */
TEST(diffusion_is_held_too_when_the_rest_is_long_enough)
{
    for (size_t k = 0; k < READINGS; k++) {
        t_s[k] = 3.1 * (double)k + 0.5;
        v[k] = 13.302;
        for (int j = 1; j <= 40; j++)
            v[k] += 0.25 * 6 / (M_PI * M_PI) / (j * j) * exp(-j * j * t_s[k] / 2400);
        v[k] = round(v[k] * 1000) / 1000; /* a meter of millivolts */
    }
    struct settling s = find(READINGS);
    CHECK(measure_known(&s.settled_v));
    CHECK(s.settled_v.lo - 0.0005 <= 13.302 && 13.302 <= s.settled_v.hi + 0.0005);
}

/* The rest of a pack whose tail is that of diffusion, with constants from half a minute to hours. */
static void make_long_tail(double step_s, uint32_t seed)
{
    static const double tau_s[] = {31, 140, 640, 2900, 13100}, a_v[] = {0.09, 0.08, 0.08, 0.09, 0.31};
    struct random *random = random_new(seed);
    for (size_t k = 0; k < READINGS; k++) {
        t_s[k] = step_s * (double)k + 9.7;
        v[k] = 13.737 + 0.001 * random_normal(random);
        for (int j = 0; j < 5; j++)
            v[k] += a_v[j] * exp(-t_s[k] / tau_s[j]);
    }
    random_free(random);
}

TEST(a_tail_that_slows_down_never_settles_at_what_it_does_not_reach)
{
    int told = 0;
    for (uint32_t seed = 1; seed <= 2; seed++) {
        make_long_tail(20, seed);
        for (size_t n = 8; n <= READINGS; n = 3 * n / 2) {
            struct settling s = find(n);
            if (!measure_known(&s.settled_v)) {
                CHECK(isnan(s.wait_s) || s.wait_s > 0);
                continue;
            }
            told++;
            CHECK(s.settled_v.lo <= 13.737 + 0.002 && 13.737 - 0.002 <= s.settled_v.hi); /* what five do to a fit of two */
        }
    }
    CHECK(told >= 2);
}

TEST(a_few_readings_that_do_nothing_but_fall_are_not_at_rest)
{
    static const double falling[] = {14.234, 14.220, 14.205, 14.197, 14.185, 14.178, 14.171, 14.163, 14.158};
    for (size_t k = 0; k < 9; k++) {
        t_s[k] = 10 + 20.0 * (double)k;
        v[k] = falling[k];
    }
    struct settling s = find(9);
    CHECK(!measure_known(&s.settled_v));
}

TEST(a_short_rest_without_movement_is_settled_within_what_may_creep_unseen)
{
    make(1.0, 13.33, 0, 1, 0, 1, 0.0005, 11);
    struct settling brief = find(60), lasting = find(READINGS);
    CHECK(measure_known(&brief.settled_v) && brief.settled_v.hi - brief.settled_v.lo > 2 * 0.0005);
    CHECK(lasting.settled_v.hi - lasting.settled_v.lo < 2 * 0.0005);
}

/* A quarter of an hour: the fast constant is over, the slow one, of hours, has moved the volts by a tenth of its way. One
 * term alone fits that about as well, and would settle a quarter of a volt too high. */
TEST(a_slow_constant_that_a_short_rest_takes_for_level_is_in_the_interval)
{
    enum { TRIALS = 40 };
    for (uint32_t seed = 1; seed <= TRIALS; seed++) {
        make(3.2, 13.521, 0.165, 149, 0.3, 6958, 0.004, seed);
        struct settling s = find(280);
        CHECK(!measure_known(&s.settled_v) || (s.settled_v.lo <= 13.521 && 13.521 <= s.settled_v.hi));
    }
}

/* What somebody begins to record two hours after the charge: minutes of volts that seem to stand still. */
TEST(volts_that_seem_to_stand_still_for_minutes_are_held_hours_later)
{
    enum { TRIALS = 40 };
    int told = 0;
    for (uint32_t seed = 1; seed <= TRIALS; seed++) {
        make(1.3, 13.301, 0.079, 2271, 0, 1, 0.003, seed);
        struct settling s = find(100);
        if (!measure_known(&s.settled_v))
            continue;
        told++;
        CHECK(s.settled_v.lo <= 13.301 && 13.301 <= s.settled_v.hi);
    }
    CHECK(told > 0);
}

TEST(too_little_is_no_rest)
{
    make(1.0, 13.33, 0.1, 20, 0, 1, 0.0005, 5);
    CHECK(!measure_known(&(struct measure){.value = find(5).settled_v.value}));
    for (size_t k = 0; k < READINGS; k++)
        v[k] = NAN;
    struct settling s = find(READINGS);
    CHECK(s.terms == 0 && !measure_known(&s.settled_v) && isnan(s.wait_s));
    s = find(0);
    CHECK(!measure_known(&s.settled_v));
}
