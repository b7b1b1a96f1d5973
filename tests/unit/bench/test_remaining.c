#include "check.h"

#include "bench/remaining.h"

static const struct remaining_seen nothing = {.passed_ah = 31.7, .rated_ah = 100, .plateau_v = NAN, .slope_v_per_ah = NAN,
                                              .level_v = NAN, .gain_u = 0.004};

static double sum(const struct remaining *remaining)
{
    double all = 0;
    for (int k = 0; k < REMAINING_GRID; k++)
        all += remaining->share[k];
    return all;
}

/* Adds what a cell of so many Ah shows, to the tables themselves. */
static struct remaining_seen seen_of(double end_ah, double passed_ah)
{
    struct remaining_seen seen = nothing;
    double r = 1 - passed_ah / end_ah, dr = 0.002;
    seen.passed_ah = seen.slope_at_ah = seen.level_at_ah = passed_ah;
    seen.plateau_v = 0.62;
    seen.level_v = 0.62 * remaining_level(r);
    seen.slope_v_per_ah = 0.62 * (remaining_level(r + dr) - remaining_level(r - dr)) / (2 * dr * end_ah);
    seen.slope_u = 0.02 * seen.slope_v_per_ah;
    seen.settled = true;
    return seen;
}

TEST(before_anything_is_seen_it_is_the_prior)
{
    struct remaining remaining;
    remaining_find(&nothing, &remaining);
    CHECK_REL(sum(&remaining), 1, 1e-12);
    CHECK_NEAR(remaining_quantile(&remaining, 0.025), 84, 0.7);
    CHECK_NEAR(remaining_quantile(&remaining, 0.975), 107, 0.7);
    CHECK_NEAR(remaining_reaches(&remaining, 100), 0.314, 0.01);
    CHECK(remaining_reaches(&remaining, 0) > 0.999999);
    CHECK(remaining_reaches(&remaining, 1e9) == 0);
}

TEST(what_has_passed_is_sure)
{
    struct remaining_seen seen = nothing;
    seen.passed_ah = 103.4;
    struct remaining remaining;
    remaining_find(&seen, &remaining);
    CHECK(remaining_quantile(&remaining, 0.001) >= 103.4);
    CHECK_REL(sum(&remaining), 1, 1e-12);
    seen.passed_ah = 260; /* no rating thinks of that */
    remaining_find(&seen, &remaining);
    CHECK(remaining_quantile(&remaining, 0.5) > 260 && isfinite(remaining_quantile(&remaining, 0.975)));
}

TEST(the_knee_decides)
{
    const double ends[] = {44.3, 61, 88.7, 101.2, 118};
    for (size_t k = 0; k < sizeof ends / sizeof *ends; k++) {
        double width = INFINITY;
        for (double left = 0.1; left > 0.01; left /= 1.7) {
            struct remaining_seen seen = seen_of(ends[k], ends[k] * (1 - left));
            struct remaining remaining;
            remaining_find(&seen, &remaining);
            double lo = remaining_quantile(&remaining, 0.025), hi = remaining_quantile(&remaining, 0.975);
            CHECK(lo <= ends[k] && ends[k] <= hi);
            CHECK(hi - lo < width);
            CHECK(hi - lo < 0.16 * ends[k]);
            width = hi - lo;
        }
    }
}

/* An LFP cell shows next to nothing of its charge on the plateau: pages that give a table disagree by 20 to 30 %. */
TEST(the_plateau_says_only_that_there_is_no_knee)
{
    struct remaining before, after;
    struct remaining_seen seen = seen_of(100, 52);
    remaining_find(&seen, &after);
    seen.plateau_v = NAN;
    remaining_find(&seen, &before);
    for (double p = 0.1; p < 1; p += 0.2)
        CHECK_NEAR(remaining_quantile(&after, p), remaining_quantile(&before, p), 3);
}

TEST(scales_with_the_pack)
{
    struct remaining small, large;
    struct remaining_seen seen = seen_of(94, 88);
    remaining_find(&seen, &small);
    seen.passed_ah *= 8, seen.rated_ah *= 8, seen.slope_at_ah *= 8, seen.level_at_ah *= 8;
    seen.slope_v_per_ah /= 8, seen.slope_u /= 8;
    remaining_find(&seen, &large);
    for (double p = 0.025; p < 1; p += 0.1)
        CHECK_REL(remaining_quantile(&large, p), 8 * remaining_quantile(&small, p), 1e-9);
}

TEST(levels_rise_and_their_mean_lies_below)
{
    for (double r = 0.003; r < 1; r += 0.007) {
        CHECK(remaining_level(r + 0.007) >= remaining_level(r));
        CHECK(remaining_mean_level(r) < remaining_level(r));
        double slow = 0;
        enum { STEPS = 2000 };
        for (int k = 0; k < STEPS; k++)
            slow += remaining_level(r * (k + 0.5) / STEPS) / STEPS;
        CHECK_NEAR(remaining_mean_level(r), slow, 1e-5);
        if (remaining_level(r) < 0.99)
            CHECK_REL(remaining_left_at(remaining_level(r)), r, 1e-9);
    }
}

/* U = U_positive - U_negative by Afshar 2017 (arXiv:1709.03970) and Prada et al. 2013 (J. Electrochem. Soc. 160,
 * A616), over windows of the electrodes such as cells have (invented): the table holds within its stated spread. */
static double resting_v(double s, double window)
{
    double y = 0.955 - s * (0.955 - 0.012), x = 0.045 + s * (0.83 - 0.045) * window;
    double positive = 3.4077 - 0.020269 * y + 0.5 * exp(-150 * y) - 0.9 * exp(-30 * (1 - y));
    double negative = 1.9793 * exp(-39.3631 * x) + 0.2482 - 0.0909 * tanh(29.8538 * (x - 0.1234)) -
                      0.04478 * tanh(14.9159 * (x - 0.2769)) - 0.0205 * tanh(30.4444 * (x - 0.6103));
    return positive - negative;
}

TEST(levels_are_those_of_the_published_electrodes)
{
    const double windows[] = {0.9, 1, 1.1};
    for (int w = 0; w < 3; w++) {
        double empty = 0; /* 2.5 V */
        while (resting_v(empty, windows[w]) < 2.5)
            empty += 1e-4;
        double plateau = resting_v(empty + 0.5 * (1 - empty), windows[w]) - 2.5;
        for (double r = 0.01; r < 0.5; r *= 1.4) {
            double level = (resting_v(empty + r * (1 - empty), windows[w]) - 2.5) / plateau;
            CHECK_NEAR(level, remaining_level(r), 0.105); /* one standard deviation of the table */
        }
    }
}
