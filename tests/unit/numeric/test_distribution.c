#include "check.h"

#include "numeric/distribution.h"

/* JCGM 100:2008 (GUM), table G.2; values of the row to its two or three decimals. */
TEST(coverage_factors_of_the_gum)
{
    static const double fraction[] = {0.6827, 0.90, 0.95, 0.9545, 0.99, 0.9973};
    static const struct {
        double dof, k[6];
    } table[] = {
        {1, {1.84, 6.31, 12.71, 13.97, 63.66, 235.80}},
        {5, {1.11, 2.02, 2.57, 2.65, 4.03, 5.51}},
        {10, {1.05, 1.81, 2.23, 2.28, 3.17, 3.96}},
        {16, {1.03, 1.75, 2.12, 2.17, 2.92, 3.54}},
        {20, {1.03, 1.72, 2.09, 2.13, 2.85, 3.42}},
        {50, {1.01, 1.68, 2.01, 2.05, 2.68, 3.16}},
        {INFINITY, {1.000, 1.645, 1.960, 2.000, 2.576, 3.000}},
    };
    for (size_t row = 0; row < sizeof table / sizeof *table; row++)
        for (size_t k = 0; k < 6; k++)
            CHECK_NEAR(coverage_factor(fraction[k], table[row].dof), table[row].k[k],
                       table[row].k[k] > 200 ? 0.05 : 0.0051);
    CHECK_NEAR(coverage_factor(0.99, 16.7), 2.9, 0.05); /* whole degrees are not needed */
}

TEST(closed_forms)
{
    for (double t = -30; t < 30; t += 0.37) {
        CHECK_NEAR(student_cdf(t, 1), 0.5 + atan(t) / M_PI, 1e-14);
        CHECK_NEAR(student_cdf(t, 2), 0.5 + t / (2 * sqrt(2 + t * t)), 1e-14);
        CHECK_NEAR(student_cdf(t, INFINITY), normal_cdf(t), 0);
    }
    CHECK_NEAR(normal_cdf(1.5), 0.9331927987311419, 1e-15); /* as printed in every table, .93319 */
}

TEST(quantiles_turn_probabilities_round)
{
    for (double dof = 0.8; dof < 1e6; dof *= 1.9)
        for (double p = 0.0007; p < 1; p += 0.0831)
            CHECK_REL(student_cdf(student_quantile(p, dof), dof), p, 1e-9);
    for (double p = 1e-12; p < 1; p *= 2.3)
        CHECK_REL(normal_cdf(normal_quantile(p)), p, 1e-10);
    CHECK(isinf(normal_quantile(0)) && isinf(student_quantile(1, 3)));
}

TEST(undefined_is_nan)
{
    CHECK(isnan(student_cdf(1, 0)));
    CHECK(isnan(student_cdf(NAN, 4)));
    CHECK(isnan(student_quantile(0.5, -1)));
    CHECK(isnan(student_quantile(1.1, 4)));
    CHECK(isnan(normal_quantile(-0.1)));
    CHECK(isnan(coverage_factor(0.95, NAN)));
    CHECK_NEAR(student_cdf(INFINITY, 4), 1, 0);
}
