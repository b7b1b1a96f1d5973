#include "battery/knee.h"
#include "check.h"
#include "numeric/random.h"

enum { ROWS = 5000 };
static double t_s[ROWS], v[ROWS];

/* Falling evenly to `knee_s`, then a hundred times as fast. */
static void plateau(double knee_s, double noise_v, uint32_t seed)
{
    struct random *random = random_new(seed);
    for (int k = 0; k < ROWS; k++) {
        t_s[k] = 3 * k;
        v[k] = 13.2 - 2e-5 * t_s[k] - 2e-3 * fmax(0, t_s[k] - knee_s) + 0.3 * exp(-t_s[k] / 60) +
               noise_v * random_normal(random);
    }
    random_free(random);
}

TEST(finds_the_corner)
{
    static const double corners[] = {9000, 13000, 14200};
    double knee = NAN;
    for (int k = 0; k < 3; k++) {
        plateau(corners[k], 0.005, 60);
        CHECK(knee_find(t_s, v, ROWS, 0.005, &knee));
        CHECK_NEAR(knee, corners[k], 3.0 * ROWS / KNEE_POINTS + 3); /* to one of the pieces */
    }
}

TEST(a_plateau_or_a_parabola_has_none)
{
    double knee = -1;
    plateau(1e9, 0.005, 61);
    CHECK(!knee_find(t_s, v, ROWS, 0.005, &knee));
    for (int k = 0; k < ROWS; k++)
        v[k] = 13.2 - 1.4e-8 * t_s[k] * t_s[k];
    CHECK(!knee_find(t_s, v, ROWS, 0, &knee));
    CHECK(!knee_find(t_s, v, 5, 0, &knee));
    CHECK(knee == -1);
}

TEST(scale_does_not_matter)
{
    double knee = NAN, other = NAN;
    plateau(12000, 0.004, 62);
    CHECK(knee_find(t_s, v, ROWS, 0.004, &knee));
    for (int k = 0; k < ROWS; k++) {
        t_s[k] = 1e6 + t_s[k] / 7;
        v[k] *= 4;
    }
    CHECK(knee_find(t_s, v, ROWS, 0.016, &other));
    CHECK_NEAR((other - 1e6) * 7, knee, 0.01);
}
