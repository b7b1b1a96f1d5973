#include "check.h"

#include "numeric/random.h"
#include "numeric/stats.h"

enum { DRAWS = 400000 };
static double draws[DRAWS];

static void check_moments(enum shape shape, double dof, double sd, double fourth)
{
    struct random *random = random_new(1701);
    double sum = 0;
    for (size_t k = 0; k < DRAWS; k++) {
        draws[k] = random_shape(random, shape, 0.3, dof);
        sum += pow(draws[k] / 0.3, 4);
    }
    random_free(random);
    CHECK_NEAR(stats_mean(draws, DRAWS), 0, 4 * 0.3 * sd / sqrt(DRAWS));
    CHECK_REL(stats_sd(draws, DRAWS), 0.3 * sd, 0.01);
    CHECK_REL(sum / DRAWS, fourth, 0.05);
    CHECK_NEAR(stats_lag1(draws, DRAWS), 0, 4 / sqrt(DRAWS));
}

/* Fourth moments for unit u: 3; a^4/5 with a^2 = 3; a^4/15 with a^2 = 6; 3 a^4/8 with a^2 = 2; for
 * Student's t, variance n/(n-2) and fourth moment 3 n^2/((n-2)(n-4)). */
TEST(shapes_have_their_moments)
{
    check_moments(SHAPE_NORMAL, INFINITY, 1, 3);
    check_moments(SHAPE_RECTANGULAR, INFINITY, 1, 9.0 / 5);
    check_moments(SHAPE_TRIANGULAR, INFINITY, 1, 36.0 / 15);
    check_moments(SHAPE_ARCSINE, INFINITY, 1, 3 * 4.0 / 8);
    check_moments(SHAPE_T, 20, sqrt(20.0 / 18), 3 * 400.0 / (18 * 16));
    check_moments(SHAPE_T, INFINITY, 1, 3);
}

TEST(same_seed_same_numbers)
{
    struct random *a = random_new(5), *b = random_new(5), *c = random_new(6);
    bool same = true, other = false;
    for (int k = 0; k < 100; k++) {
        double x = random_uniform(a);
        same = same && x == random_uniform(b) && x >= 0 && x < 1;
        other = other || x != random_uniform(c);
    }
    CHECK(same);
    CHECK(other);
    random_free(a);
    random_free(b);
    random_free(c);
    random_free(NULL);
}
