#include "check.h"

#include "numeric/propagate.h"

static double polynomial(const double *x, const void *context)
{
    return pow(x[0], 4) - 3 * pow(x[0], 3) + x[0] * x[1] + 5;
}

TEST(sensitivities_are_exact_for_a_quartic)
{
    struct propagate_input inputs[] = {{2, 0.5, INFINITY}, {-7, 0.25, INFINITY}};
    double parts[2];
    struct propagated result;
    CHECK(propagate(polynomial, NULL, inputs, 2, NULL, parts, &result) == ANSWER_OK);
    CHECK_REL(parts[0], 0.5 * (4 * 8 - 9 * 4 - 7), 1e-13); /* 4 x^3 - 9 x^2 + y */
    CHECK_REL(parts[1], 0.25 * 2, 1e-13);
    CHECK_REL(result.u, hypot(parts[0], parts[1]), 1e-15);
    CHECK_NEAR(result.value, 16 - 24 - 14 + 5, 0);
}

static double difference(const double *x, const void *context)
{
    return x[0] - x[1];
}

TEST(what_is_shared_cancels)
{
    struct propagate_input inputs[] = {{60.1, 0.6, INFINITY}, {58.7, 0.6, INFINITY}};
    double alike[] = {1, 1, 1, 1}, half[] = {1, 0.5, 0.5, 1}, opposite[] = {1, -1, -1, 1};
    struct propagated result;
    CHECK(propagate(difference, NULL, inputs, 2, alike, NULL, &result) == ANSWER_OK);
    CHECK_NEAR(result.u, 0, 1e-7);
    CHECK(propagate(difference, NULL, inputs, 2, half, NULL, &result) == ANSWER_OK);
    CHECK_REL(result.u, 0.6, 1e-12);
    CHECK(propagate(difference, NULL, inputs, 2, opposite, NULL, &result) == ANSWER_OK);
    CHECK_REL(result.u, 1.2, 1e-12);
    CHECK(isinf(result.dof));
    inputs[0].dof = 7; /* no formula for correlated inputs of limited knowledge */
    CHECK(propagate(difference, NULL, inputs, 2, half, NULL, &result) == ANSWER_OK);
    CHECK(isnan(result.dof));
}

/* For y = x^2 about 0 the first order sees nothing; the second has u = sqrt(2) u(x)^2, which is exact
 * for a normal x. */
static double squared(const double *x, const void *context)
{
    return x[0] * x[0];
}

static double product(const double *x, const void *context)
{
    return x[0] * x[1];
}

TEST(second_order)
{
    struct propagate_input inputs[] = {{0, 0.3, INFINITY}, {0, 0.2, INFINITY}};
    struct propagated result;
    CHECK(propagate(squared, NULL, inputs, 1, NULL, NULL, &result) == ANSWER_OK);
    CHECK_NEAR(result.u, 0, 1e-15);
    CHECK(propagate_second_order(squared, NULL, inputs, 1, &result) == ANSWER_OK);
    CHECK_REL(result.u, sqrt(2) * 0.09, 1e-13);
    inputs[0].value = 3;
    inputs[1].value = -2; /* Var(xy) = x^2 v + y^2 u + u v, exact for independent inputs */
    CHECK(propagate_second_order(product, NULL, inputs, 2, &result) == ANSWER_OK);
    CHECK_REL(result.u, sqrt(9 * 0.04 + 4 * 0.09 + 0.04 * 0.09), 1e-13);
}

static double root(const double *x, const void *context)
{
    return sqrt(x[0]);
}

TEST(no_number_from_nonsense)
{
    struct propagate_input inputs[] = {{0.1, 0.3, INFINITY}, {1, 0.2, INFINITY}, {1, 1, INFINITY}};
    struct propagated result = {.u = 77};
    CHECK(propagate(root, NULL, inputs, 1, NULL, NULL, &result) == ANSWER_NOT_FINITE); /* beyond 0 */
    inputs[0].u = -0.1;
    CHECK(propagate(difference, NULL, inputs, 2, NULL, NULL, &result) == ANSWER_NOT_FINITE);
    inputs[0] = (struct propagate_input){1, 0.1, NAN};
    CHECK(propagate(difference, NULL, inputs, 2, NULL, NULL, &result) == ANSWER_NOT_FINITE);
    inputs[0].dof = INFINITY;
    double uneven[] = {1, 0.5, 0.4, 1}, large[] = {1, 1.1, 1.1, 1};
    CHECK(propagate(difference, NULL, inputs, 2, uneven, NULL, &result) == ANSWER_DEGENERATE);
    CHECK(propagate(difference, NULL, inputs, 2, large, NULL, &result) == ANSWER_DEGENERATE);
    static struct propagate_input many[PROPAGATE_INPUTS + 1];
    CHECK(propagate(difference, NULL, many, PROPAGATE_INPUTS + 1, NULL, NULL, &result) == ANSWER_NO_MEMORY);
    CHECK(result.u == 77);
}

static double total(const double *x, const void *context)
{
    return x[0] + x[1] + x[2];
}

TEST(correlations_that_contradict_each_other)
{
    double opposed[] = {1, -1, -1, -1, 1, -1, -1, -1, 1};
    struct propagate_input three[] = {{1, 1, INFINITY}, {1, 1, INFINITY}, {1, 1, INFINITY}};
    struct propagated result = {.u = 77};
    CHECK(propagate(total, NULL, three, 3, opposed, NULL, &result) == ANSWER_DEGENERATE);
    CHECK(result.u == 77);
}

TEST(constants_have_no_part)
{
    struct propagate_input inputs[] = {{4, 0, INFINITY}, {1, 0, INFINITY}};
    struct propagated result;
    double parts[2];
    CHECK(propagate(difference, NULL, inputs, 2, NULL, parts, &result) == ANSWER_OK);
    CHECK(result.value == 3 && result.u == 0 && isinf(result.dof) && parts[0] == 0);
}
