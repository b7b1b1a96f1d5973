#include "check.h"

#include "numeric/montecarlo.h"

enum { TRIALS = 200000 };
static double work[TRIALS];

static double exponential(struct random *random, const void *context)
{
    return -log(1 - random_uniform(random));
}

static double sometimes_nothing(struct random *random, const void *context)
{
    double x = random_uniform(random);
    return x < 0.001 ? NAN : x;
}

TEST(both_intervals_of_a_skewed_output)
{
    struct montecarlo result;
    CHECK(montecarlo(exponential, NULL, 61, TRIALS, 0.95, work, &result) == ANSWER_OK);
    CHECK_NEAR(result.mean, 1, 0.01);
    CHECK_NEAR(result.u, 1, 0.01);
    CHECK_NEAR(result.lo, -log(0.975), 0.001);
    CHECK_NEAR(result.hi, -log(0.025), 0.05);
    CHECK_NEAR(result.shortest_lo, 0, 0.001); /* the shortest begins where the density is highest */
    CHECK_NEAR(result.shortest_hi, -log(0.05), 0.03);
}

TEST(same_seed_same_result)
{
    struct montecarlo a, b, c;
    CHECK(montecarlo(exponential, NULL, 62, 1000, 0.95, work, &a) == ANSWER_OK);
    CHECK(montecarlo(exponential, NULL, 62, 1000, 0.95, work, &b) == ANSWER_OK);
    CHECK(montecarlo(exponential, NULL, 63, 1000, 0.95, work, &c) == ANSWER_OK);
    CHECK(a.mean == b.mean && a.shortest_hi == b.shortest_hi && a.mean != c.mean);
}

TEST(no_number_from_too_little)
{
    struct montecarlo result = {.u = 77};
    CHECK(montecarlo(exponential, NULL, 64, 1, 0.95, work, &result) == ANSWER_TOO_FEW);
    CHECK(montecarlo(exponential, NULL, 64, 9, 0.95, work, &result) == ANSWER_TOO_FEW);
    CHECK(montecarlo(sometimes_nothing, NULL, 64, TRIALS, 0.95, work, &result) == ANSWER_NOT_FINITE);
    CHECK(result.u == 77);
}
