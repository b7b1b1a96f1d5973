#include "check.h"

#include "numeric/regress.h"

TEST(columns_that_depend_have_no_answer)
{
    double X[18], y[6], b[3] = {7, 7, 7};
    struct regress fit = {.rss = 7};
    for (int k = 0; k < 6; k++) {
        X[3 * k] = 1;
        X[3 * k + 1] = 0.1 * k * k;
        X[3 * k + 2] = 3 + 0.7 * k * k; /* three and seven times the others */
        y[k] = k;
    }
    CHECK(regress(X, y, 6, 3, b, NULL, &fit) == ANSWER_DEGENERATE);
    CHECK(regress(X, y, 2, 3, b, NULL, &fit) == ANSWER_TOO_FEW);
    CHECK(regress(X, y, 2, 0, b, NULL, &fit) == ANSWER_TOO_FEW);
    X[4] = INFINITY;
    CHECK(regress(X, y, 6, 3, b, NULL, &fit) == ANSWER_NOT_FINITE);
    CHECK(b[0] == 7 && fit.rss == 7);
}

TEST(units_of_a_column_do_not_matter)
{
    double X[24], y[12], b[2], covariance[4], scaled_b[2], scaled_covariance[4];
    struct regress fit;
    for (int k = 0; k < 12; k++) {
        X[2 * k] = 1;
        X[2 * k + 1] = k;
        y[k] = 3 - 0.2 * k + (k % 3 == 0 ? 0.11 : -0.06);
    }
    CHECK(regress(X, y, 12, 2, b, covariance, &fit) == ANSWER_OK);
    for (int k = 0; k < 12; k++)
        X[2 * k + 1] *= 1e-12;
    CHECK(regress(X, y, 12, 2, scaled_b, scaled_covariance, &fit) == ANSWER_OK);
    CHECK_REL(scaled_b[0], b[0], 1e-13);
    CHECK_REL(scaled_b[1] * 1e-12, b[1], 1e-12);
    CHECK_REL(scaled_covariance[3] * 1e-24, covariance[3], 1e-12);
}

TEST(as_many_readings_as_coefficients)
{
    double X[] = {1, 1, 1, 2}, y[] = {3, 5}, b[2], covariance[4];
    struct regress fit;
    CHECK(regress(X, y, 2, 2, b, covariance, &fit) == ANSWER_OK);
    CHECK_NEAR(b[0], 1, 1e-13);
    CHECK_NEAR(b[1], 2, 1e-13);
    CHECK(fit.dof == 0 && isnan(fit.residual_sd) && isnan(covariance[0]));
}
