#include "check.h"

#include "numeric/linefit.h"
#include "numeric/random.h"

TEST(no_line_no_number)
{
    double x[] = {3, 3, 3}, y[] = {1, 2, 3}, bad[] = {1, NAN, 3}, u[] = {1, 0, 1};
    struct linefit fit = {.slope = 77};
    CHECK(linefit(x, y, NULL, 1, &fit) == ANSWER_TOO_FEW);
    CHECK(linefit(x, y, NULL, 3, &fit) == ANSWER_DEGENERATE);
    double tenth[] = {0.1, 0.1, 0.1}; /* whose mean is not exactly a tenth */
    CHECK(linefit(tenth, y, NULL, 3, &fit) == ANSWER_DEGENERATE);
    CHECK(linefit(y, bad, NULL, 3, &fit) == ANSWER_NOT_FINITE);
    CHECK(linefit(bad, y, NULL, 3, &fit) == ANSWER_NOT_FINITE);
    CHECK(linefit(y, x, u, 3, &fit) == ANSWER_NOT_FINITE);
    double zero[] = {0, 0};
    CHECK(linefit_origin(zero, y, NULL, 2, &fit) == ANSWER_DEGENERATE);
    CHECK(linefit_origin(zero, y, NULL, 0, &fit) == ANSWER_TOO_FEW);
    CHECK(fit.slope == 77); /* untouched */
}

TEST(two_readings_have_a_line_but_no_uncertainty)
{
    double x[] = {1, 3}, y[] = {5, 4};
    struct linefit fit;
    CHECK(linefit(x, y, NULL, 2, &fit) == ANSWER_OK);
    CHECK_NEAR(fit.slope, -0.5, 1e-15);
    CHECK_NEAR(fit.intercept, 5.5, 1e-15);
    CHECK(fit.dof == 0 && isnan(fit.u_slope) && isnan(fit.u_intercept) && isnan(fit.residual_sd));
    double u[] = {0.1, 0.1}; /* with known uncertainties there is one */
    CHECK(linefit(x, y, u, 2, &fit) == ANSWER_OK);
    CHECK_REL(fit.u_slope, sqrt(0.02) / 2, 1e-14);
}

/* Weighted lines by hand: weights 1, 4, 1 at x = 0, 1, 3. */
TEST(weighted_line)
{
    double x[] = {0, 1, 3}, y[] = {1, 2, 5}, u[] = {1, 0.5, 1};
    /* Sums: w 6, wx 7, wxx 13, wy 14, wxy 23; determinant 6*13 - 49 = 29. */
    struct linefit fit;
    CHECK(linefit(x, y, u, 3, &fit) == ANSWER_OK);
    CHECK_REL(fit.slope, (6 * 23 - 7 * 14) / 29.0, 1e-14);
    CHECK_REL(fit.intercept, (13 * 14 - 7 * 23) / 29.0, 1e-14);
    CHECK_REL(fit.u_slope, sqrt(6 / 29.0), 1e-14);
    CHECK_REL(fit.u_intercept, sqrt(13 / 29.0), 1e-14);
    CHECK_REL(fit.covariance, -7 / 29.0, 1e-14);
    double u_there, there = linefit_at(&fit, 2, &u_there);
    CHECK_REL(there, fit.intercept + 2 * fit.slope, 1e-15);
    CHECK_REL(u_there, sqrt((13 - 2 * 2 * 7 + 4 * 6) / 29.0), 1e-14);
}

TEST(stated_uncertainty_is_that_of_repeated_fits)
{
    struct random *random = random_new(41);
    enum { TRIALS = 4000, N = 9 };
    double x[N], y[N], slope_sd = 0, intercept_sd = 0, stated_slope = 0, stated_intercept = 0;
    for (int trial = 0; trial < TRIALS; trial++) {
        struct linefit fit;
        for (int k = 0; k < N; k++) {
            x[k] = 1000 + k * k;
            y[k] = 13 - 0.01 * x[k] + 0.02 * random_normal(random);
        }
        CHECK(linefit(x, y, NULL, N, &fit) == ANSWER_OK);
        slope_sd += pow(fit.slope + 0.01, 2);
        intercept_sd += pow(fit.intercept - 13, 2);
        stated_slope += fit.u_slope * fit.u_slope;
        stated_intercept += fit.u_intercept * fit.u_intercept;
    }
    random_free(random);
    CHECK_REL(sqrt(stated_slope), sqrt(slope_sd), 0.05);
    CHECK_REL(sqrt(stated_intercept), sqrt(intercept_sd), 0.05);
}
