#include "check.h"

#include "numeric/random.h"
#include "numeric/stats.h"

enum { MANY = 20001 };
static double t[MANY], y[MANY], work[MANY];

TEST(short_lists_have_no_number)
{
    CHECK(isnan(stats_mean(y, 0)));
    CHECK(isnan(stats_sd(y, 1)));
    CHECK(isnan(stats_lag1(y, 1)));
    CHECK(isnan(stats_median(y, 0, work)));
    CHECK(isnan(stats_mad(y, 0, work)));
    CHECK(isnan(stats_noise(NULL, y, 2, work).sd));
}

static int ascending(const void *a, const void *b)
{
    double x = *(const double *)a, z = *(const double *)b;
    return (x > z) - (x < z);
}

TEST(median_agrees_with_sorting)
{
    struct random *random = random_new(71);
    for (size_t n = 1; n < 300; n++) {
        double values[300], sorted[300];
        for (size_t k = 0; k < n; k++) /* ties on purpose: some lists in whole numbers */
            values[k] = n % 3 == 0 ? floor(7 * random_uniform(random)) : random_normal(random);
        memcpy(sorted, values, sizeof sorted);
        qsort(sorted, n, sizeof *sorted, ascending);
        double want = n % 2 == 1 ? sorted[n / 2] : (sorted[n / 2 - 1] + sorted[n / 2]) / 2;
        CHECK_NEAR(stats_median(values, n, work), want, 1e-15);
    }
    random_free(random);
}

TEST(mad_of_a_list_with_an_outlier)
{
    double values[] = {1, 1, 2, 2, 4, 6, 900}; /* median 2; deviations 1 1 0 0 2 4 898 */
    CHECK_NEAR(stats_mad(values, 7, work), 1, 0);
}

/* Uneven instants, a drift, a bend and a step of 30; noise of 0.017. */
static void make_discharge(uint32_t seed, double noise, double step)
{
    struct random *random = random_new(seed);
    double now = 0;
    for (size_t k = 0; k < MANY; k++) {
        now += 0.5 + random_uniform(random);
        t[k] = now;
        y[k] = 13.3 - 2e-5 * now - (k > MANY / 2 ? 30 : 0) + 0.3 * sin(now / 900) +
               noise * random_normal(random);
        if (step > 0)
            y[k] = step * round(y[k] / step);
    }
    random_free(random);
}

TEST(noise_without_drift_steps_or_glitches)
{
    make_discharge(72, 0.017, 0);
    for (size_t k = 100; k < MANY; k += 400)
        y[k] += 5; /* glitches */
    struct stats_noise noise = stats_noise(t, y, MANY, work);
    CHECK_REL(noise.sd, 0.017, 0.03);
    CHECK(!noise.quantised);
}

TEST(noise_of_readings_in_digits)
{
    /* Noise that spreads over several steps adds to that of rounding (GUM F.2.2.1); noise that does not
     * leaves between the larger of the two and both. */
    for (double noise_steps = 0.05; noise_steps < 4; noise_steps *= 1.3) {
        make_discharge(73, 0.01 * noise_steps, 0.01);
        struct stats_noise noise = stats_noise(t, y, MANY, work);
        CHECK_NEAR(noise.step, 0.01, 1e-12);
        CHECK(noise.sd >= 0.87 * 0.01 * fmax(noise_steps, sqrt(1.0 / 12)));
        CHECK(noise.sd <= 1.15 * 0.01 * hypot(noise_steps, sqrt(1.0 / 12)));
    }
}

TEST(noise_hidden_below_the_step)
{
    make_discharge(74, 0.0001, 0.01);
    struct stats_noise noise = stats_noise(t, y, MANY, work);
    CHECK(noise.quantised);
    CHECK_NEAR(noise.sd, 0.01 / sqrt(12), 1e-12);
    for (size_t k = 0; k < MANY; k++)
        y[k] = 12.8;
    noise = stats_noise(NULL, y, MANY, work);
    CHECK(noise.quantised && isnan(noise.sd) && isnan(noise.step)); /* nothing shows the step */
}

TEST(noise_with_instants_that_coincide)
{
    double same[] = {5, 5, 5, 5}, values[] = {1, 2, 3, 5};
    CHECK(isnan(stats_noise(same, values, 4, work).sd));
    double pairs[] = {0, 0, 1, 1, 2, 2};
    double pair_values[] = {1, 1.1, 1, 0.9, 1, 1.2};
    CHECK(stats_noise(pairs, pair_values, 6, work).sd > 0);
}
