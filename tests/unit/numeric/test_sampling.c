#include "check.h"

#include "numeric/distribution.h"
#include "numeric/integrate.h"
#include "numeric/random.h"

enum { N = 5000 };
static double t[N], y[N], z[N];

TEST(too_few_readings_cannot_tell)
{
    CHECK(isnan(integrate_sampling_u(t, y, NULL, 2).u));
    CHECK(isnan(integrate_sampling_u(t, y, NULL, 0).u));
}

TEST(a_straight_line_has_no_sampling_error)
{
    double when[] = {0, 0.7, 1.1, 4, 9, 9.5}, line[6];
    for (int k = 0; k < 6; k++)
        line[k] = 13 - 0.25 * when[k];
    CHECK_NEAR(integrate_sampling_u(when, line, NULL, 6).u, 0, 1e-14);
}

/* The error of trapezia under smooth curves is known by calculus. */
TEST(curvature_tells_the_error_of_a_smooth_curve)
{
    for (size_t n = 5; n < 100; n += 7) {
        for (size_t k = 0; k < n; k++) {
            t[k] = M_PI * (double)k / (double)(n - 1);
            y[k] = sin(t[k]);
        }
        struct sampling sampling = integrate_sampling_u(t, y, NULL, n);
        double error = 2 - integrate_linear(t, y, n);
        CHECK_REL(sampling.curvature, error, 0.25);
        CHECK(sampling.u >= error && sampling.u < 1.6 * error);
    }
}

TEST(curvature_on_uneven_instants)
{
    struct random *random = random_new(21);
    for (int trial = 0; trial < 50; trial++) { /* a dozen readings by eye of an exponential tail */
        double now = 0;
        for (size_t k = 0; k < 12; k++) {
            t[k] = now;
            y[k] = exp(-now / 40);
            now += 4 + 12 * random_uniform(random);
        }
        double error = integrate_linear(t, y, 12) - 40 * (1 - y[11]);
        struct sampling sampling = integrate_sampling_u(t, y, NULL, 12);
        CHECK(sampling.u > 0.7 * error && sampling.u < 3 * error);
    }
    random_free(random);
}

TEST(scatter_tells_the_noise_of_the_integral)
{
    struct random *random = random_new(22);
    for (size_t k = 0; k < N; k++) {
        t[k] = 0.5 * (double)k;
        y[k] = 100 * sin(t[k] / 400) + 0.3 * random_normal(random);
        z[k] = 2;
    }
    random_free(random);
    double want = 0.5 * 0.3 * sqrt(N); /* h s sqrt(n): independent readings */
    CHECK_REL(integrate_sampling_u(t, y, NULL, N).scatter, want, 0.05);
    CHECK_REL(integrate_sampling_u(t, y, z, N).scatter, 2 * want, 0.05); /* the product with 2 */
    CHECK_NEAR(integrate_sampling_u(t, y, z, N).curvature, 2 * integrate_sampling_u(t, y, NULL, N).curvature,
               1e-9);
}

/* Few readings tell their scatter badly; their degrees of freedom make up for it. */
TEST(scatter_of_few_readings_has_few_degrees_of_freedom)
{
    struct random *random = random_new(25);
    static const size_t counts[] = {4, 5, 6, 8, 12, 20, 60};
    enum { TRIALS = 8000 };
    for (size_t c = 0; c < sizeof counts / sizeof *counts; c++) {
        int held = 0;
        for (int trial = 0; trial < TRIALS; trial++) {
            for (size_t k = 0; k < counts[c]; k++) {
                t[k] = k > 0 ? t[k - 1] + 10 + 10 * random_uniform(random) : 0;
                y[k] = 25 + 0.4 * random_normal(random);
            }
            struct sampling sampling = integrate_sampling_u(t, y, NULL, counts[c]);
            double error = integrate_linear(t, y, counts[c]) - 25 * t[counts[c] - 1];
            held += fabs(error) <= student_quantile(0.975, sampling.scatter_dof) * sampling.u;
        }
        /* Somewhat more below eight readings, whose curvature takes part of the scatter for its own. */
        CHECK(held >= 0.935 * TRIALS && held <= (counts[c] < 8 ? 0.99 : 0.97) * TRIALS);
    }
    random_free(random);
}

/* A load that switches faster than the readings come: what they miss must show. Truth from a fine grid
 * that the readings are taken from; the error of the coarse integral has the stated spread. */
TEST(scatter_covers_a_chopped_load)
{
    struct random *random = random_new(23);
    int covered = 0, trials = 400;
    for (int trial = 0; trial < trials; trial++) {
        double truth = 0;
        size_t every = 20, n = 200;
        double level = 0;
        for (size_t k = 0; k <= every * (n - 1); k++) {
            if (random_uniform(random) < 0.1)
                level = 50 * random_uniform(random);
            if (k > 0)
                truth += level / (double)every;
            if (k % every == 0) {
                t[k / every] = (double)(k / every);
                y[k / every] = level;
            }
        }
        double u = integrate_sampling_u(t, y, NULL, n).u;
        covered += fabs(integrate_linear(t, y, n) - truth) <= 1.96 * u;
    }
    random_free(random);
    CHECK(covered >= 0.93 * trials);
}

TEST(three_readings_count_twice)
{
    double when[] = {0, 1, 2}, value[] = {0, 1, 0}; /* one triangle of area 1 */
    struct sampling sampling = integrate_sampling_u(when, value, NULL, 3);
    CHECK_NEAR(sampling.curvature, 1.0 / 3, 1e-15);
    CHECK_NEAR(sampling.scatter, sqrt(2 / 1.5), 1e-15);
}

TEST(instants_that_coincide_give_a_number)
{
    double when[] = {0, 0, 0, 1, 1, 2}, value[] = {1, 2, 3, 3, 9, 9};
    CHECK(isfinite(integrate_sampling_u(when, value, NULL, 6).u));
    double same[] = {4, 4, 4, 4};
    CHECK_NEAR(integrate_sampling_u(same, value, NULL, 4).u, 0, 0);
}
