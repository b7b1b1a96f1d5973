#include "check.h"

#include "numeric/montecarlo.h"
#include "numeric/propagate.h"
#include "numeric/sumdist.h"

/* JCGM 101:2008, the examples of clause 9. Values marked so are from memory; for those, an independent
 * simulation of four million trials is quoted beside. */
enum { TRIALS = 1000000 };
static double work[TRIALS];

/* 9.2: sums of four inputs with standard deviation 1 (the last with 10 in 9.2.4). */
static double additive(struct random *random, const void *context)
{
    const struct sumdist_part *part = context;
    double sum = 0;
    for (int k = 0; k < 4; k++)
        sum += random_shape(random, part[k].shape, part[k].u, part[k].dof);
    return sum;
}

static void check_additive(enum shape shape, double last, double u, double half, double near)
{
    struct sumdist_part parts[4];
    struct montecarlo drawn;
    for (int k = 0; k < 4; k++)
        parts[k] = (struct sumdist_part){k == 3 ? last : 1, shape, INFINITY};
    CHECK(montecarlo(additive, parts, 9200, TRIALS, 0.95, work, &drawn) == ANSWER_OK);
    CHECK_NEAR(drawn.u, u, 0.05 * 0.2);
    CHECK_NEAR(drawn.mean, 0, 5 * u / sqrt(TRIALS));
    CHECK_NEAR(drawn.hi, half, near);
    CHECK_NEAR(drawn.lo, -half, near);
    double without_draws = sumdist_quantile(parts, 4, 0.975);
    CHECK_NEAR(without_draws, half, near);
    CHECK_REL(drawn.hi, without_draws, 0.004);
}

TEST(example_9_2_additive)
{
    check_additive(SHAPE_NORMAL, 1, 2.0, 3.92, 0.015);
    check_additive(SHAPE_RECTANGULAR, 1, 2.0, 3.88, 0.015);
    check_additive(SHAPE_RECTANGULAR, 10, 10.149, 17.0, 0.05); /* from memory; simulated ±17.01 */
}

/* 9.3: mass of a weight, mg; published from memory: first order u 0.0539, Monte Carlo 1.2341, 0.0754,
 * [1.0834, 1.3825], second order 0.0750. Simulated: 1.23404, 0.07552, [1.0847, 1.3841]. */
static double mass(const double *x, const void *context)
{
    return (x[0] + x[1]) * (1 + (x[2] - 1.2) * (1 / x[3] - 1 / x[4])) - 100000;
}

static double drawn_mass(struct random *random, const void *context)
{
    double x[] = {
        100000 + random_shape(random, SHAPE_NORMAL, 0.050, 0),
        1.234 + random_shape(random, SHAPE_NORMAL, 0.020, 0),
        1.20 + random_shape(random, SHAPE_RECTANGULAR, 0.10 / sqrt(3), 0),
        8000 + random_shape(random, SHAPE_RECTANGULAR, 1000 / sqrt(3), 0),
        8000 + random_shape(random, SHAPE_RECTANGULAR, 50 / sqrt(3), 0),
    };
    return mass(x, context);
}

TEST(example_9_3_mass)
{
    struct propagate_input inputs[] = {{100000, 0.050, INFINITY},
                                       {1.234, 0.020, INFINITY},
                                       {1.2, 0.10 / sqrt(3), INFINITY},
                                       {8000, 1000 / sqrt(3), INFINITY},
                                       {8000, 50 / sqrt(3), INFINITY}};
    struct propagated first, second;
    CHECK(propagate(mass, NULL, inputs, 5, NULL, NULL, &first) == ANSWER_OK);
    CHECK_NEAR(first.value, 1.2340, 0.00005);
    CHECK_NEAR(first.u, 0.0539, 0.00005);
    CHECK(propagate_second_order(mass, NULL, inputs, 5, &second) == ANSWER_OK);
    CHECK_NEAR(second.u, 0.0750, 0.0002);
    struct montecarlo drawn;
    CHECK(montecarlo(drawn_mass, NULL, 9300, TRIALS, 0.95, work, &drawn) == ANSWER_OK);
    CHECK_NEAR(drawn.mean, 1.2341, 0.0003);
    CHECK_NEAR(drawn.u, 0.0754, 0.0003);
    CHECK_NEAR(drawn.shortest_lo, 1.0834, 0.003);
    CHECK_NEAR(drawn.shortest_hi, 1.3825, 0.003);
}

/* 9.4: comparison loss in microwave power meter calibration, x1^2 + x2^2 with u 0.005 each. Mean
 * x1^2 + 2u^2 and u 2u sqrt(x1^2 + u^2) by algebra; shortest intervals from memory, in 1e-6. Simulated:
 * [0, 149.9], [0, 366], [1597, 3553]. */
static double loss(struct random *random, const void *context)
{
    double x1 = *(const double *)context + 0.005 * random_normal(random), x2 = 0.005 * random_normal(random);
    return x1 * x1 + x2 * x2;
}

TEST(example_9_4_comparison_loss)
{
    static const struct {
        double x1, mean, u, lo, hi, near;
    } cases[] = {
        {0, 50e-6, 50e-6, 0, 150e-6, 2e-6},
        {0.010, 150e-6, 111.8e-6, 0, 367e-6, 3e-6},
        {0.050, 2550e-6, 502.5e-6, 1590e-6, 3543e-6, 20e-6},
    };
    for (int k = 0; k < 3; k++) {
        struct montecarlo drawn;
        CHECK(montecarlo(loss, &cases[k].x1, 9400, TRIALS, 0.95, work, &drawn) == ANSWER_OK);
        CHECK_REL(drawn.mean, cases[k].mean, 0.005);
        CHECK_REL(drawn.u, cases[k].u, 0.005);
        CHECK_NEAR(drawn.shortest_lo, cases[k].lo, cases[k].near);
        CHECK_NEAR(drawn.shortest_hi, cases[k].hi, cases[k].near);
    }
}
