#include "check.h"

#include "numeric/distribution.h"
#include "numeric/random.h"
#include "numeric/sumdist.h"

static struct sumdist_part part(enum shape shape, double u, double dof)
{
    return (struct sumdist_part){u, shape, dof};
}

TEST(single_parts_and_all_normal_are_exact)
{
    struct sumdist_part normal[] = {part(SHAPE_NORMAL, 3, 0), part(SHAPE_NORMAL, -4, 0),
                                    part(SHAPE_RECTANGULAR, 0, 0)};
    CHECK_REL(sumdist_quantile(normal, 3, 0.975), 5 * 1.959963984540054, 1e-12);
    struct sumdist_part one = part(SHAPE_RECTANGULAR, 1 / sqrt(3), 0);
    CHECK_NEAR(sumdist_quantile(&one, 1, 0.975), 0.95, 1e-15);
    CHECK_NEAR(sumdist_cdf(&one, 1, -2), 0, 0);
    one = part(SHAPE_TRIANGULAR, 1 / sqrt(6), 0);
    CHECK_NEAR(sumdist_quantile(&one, 1, 0.875), 0.5, 1e-15);
    CHECK_NEAR(sumdist_cdf(&one, 1, -0.5), 0.125, 1e-15);
    one = part(SHAPE_ARCSINE, 1 / sqrt(2), 0);
    CHECK_NEAR(sumdist_quantile(&one, 1, 0.75), sqrt(0.5), 1e-15);
    one = part(SHAPE_T, 2, 7);
    CHECK_REL(sumdist_quantile(&one, 1, 0.975), 2 * student_quantile(0.975, 7), 1e-15);
    one = part(SHAPE_T, 2, INFINITY);
    CHECK_REL(sumdist_quantile(&one, 1, 0.975), 2 * 1.959963984540054, 1e-12);
}

/* n rectangular parts over [-1/2, 1/2]: Irwin 1927 and Hall 1927, Biometrika 19:225 and 19:240. */
static double irwin_hall(int n, double x)
{
    double sum = 0, choose = 1, factorial = 1;
    x += n / 2.0;
    for (int k = 0; k <= n && k < x; k++) {
        sum += (k % 2 == 0 ? 1 : -1) * choose * pow(x - k, n);
        choose *= (double)(n - k) / (k + 1);
    }
    for (int k = 2; k <= n; k++)
        factorial *= k;
    return sum / factorial;
}

TEST(equal_rectangular_parts)
{
    struct sumdist_part parts[8];
    for (int n = 2; n <= 8; n++) {
        parts[n - 1] = parts[0] = part(SHAPE_RECTANGULAR, 1 / sqrt(12), 0);
        for (double x = -n / 2.0; x < n / 2.0; x += 0.0931)
            CHECK_NEAR(sumdist_cdf(parts, (size_t)n, x), irwin_hall(n, x), 1e-7);
    }
}

/* Rectangular over [-a, a] plus normal: with G(z) = z Phi(z) + phi(z), F(x) is
 * s / 2a (G((x + a)/s) - G((x - a)/s)) (integration by parts). */
static double rectangular_normal(double a, double s, double x)
{
    double high = (x + a) / s, low = (x - a) / s;
    double g_high = high * normal_cdf(high) + exp(-high * high / 2) / sqrt(2 * M_PI);
    double g_low = low * normal_cdf(low) + exp(-low * low / 2) / sqrt(2 * M_PI);
    return s / (2 * a) * (g_high - g_low);
}

TEST(rectangular_and_normal)
{
    for (double s = 0.01; s < 30; s *= 1.7) {
        struct sumdist_part parts[] = {part(SHAPE_RECTANGULAR, 1 / sqrt(3), 0), part(SHAPE_NORMAL, s, 0)};
        for (double x = -3 - s; x < 3 + s; x += 0.217 + s / 5)
            CHECK_NEAR(sumdist_cdf(parts, 2, x), rectangular_normal(1, s, x), 1e-7);
        double q = sumdist_quantile(parts, 2, 0.975);
        CHECK_NEAR(rectangular_normal(1, s, q), 0.975, 1e-7);
        CHECK_NEAR(sumdist_quantile(parts, 2, 0.025), -q, 1e-12);
    }
}

TEST(very_unequal_parts)
{
    struct sumdist_part parts[] = {part(SHAPE_RECTANGULAR, 1, 0), part(SHAPE_RECTANGULAR, 1e-9, 0)};
    CHECK_NEAR(sumdist_quantile(parts, 2, 0.975), 0.95 * sqrt(3), 1e-5);
    parts[0] = part(SHAPE_ARCSINE, 1, 0);
    CHECK_NEAR(sumdist_quantile(parts, 2, 0.95), sqrt(2) * sin(M_PI * 0.45), 1e-4);
    parts[0] = part(SHAPE_T, 1, 4);
    CHECK_NEAR(sumdist_quantile(parts, 2, 0.975), student_quantile(0.975, 4), 1e-5);
    parts[1] = part(SHAPE_T, 1e-6, 2.5);
    CHECK_NEAR(sumdist_quantile(parts, 2, 0.975), student_quantile(0.975, 4), 1e-5);
}

/* Sums of Student's t that are known: t of one degree is Cauchy, whose scales add. */
TEST(sums_of_t)
{
    struct sumdist_part cauchy[] = {part(SHAPE_T, 1, 1), part(SHAPE_T, 2, 1), part(SHAPE_T, 0.1, 1)};
    for (double x = -40; x < 41; x += 1.7)
        CHECK_NEAR(sumdist_cdf(cauchy, 3, x), 0.5 + atan(x / 3.1) / M_PI, 3e-4);
    struct sumdist_part almost[] = {part(SHAPE_T, 3, 1e12), part(SHAPE_T, 4, 1e17)};
    CHECK_REL(sumdist_quantile(almost, 2, 0.975), 5 * 1.959963984540054, 1e-6);
}

/* A t of three degrees and a normal, integrated over the normal by Simpson's rule. */
static double t_and_normal(double dof, double s, double x)
{
    double sum = 0, h = 1.0 / 64;
    for (int k = -512; k <= 512; k++) {
        double z = k * h, weight = k == -512 || k == 512 ? 1 : k % 2 == 0 ? 2 : 4;
        sum += weight * exp(-z * z / 2) / sqrt(2 * M_PI) * student_cdf(x - s * z, dof);
    }
    return sum * h / 3;
}

TEST(t_and_normal)
{
    for (double dof = 2; dof < 60; dof *= 1.8)
        for (double s = 0.1; s < 20; s *= 3) {
            struct sumdist_part parts[] = {part(SHAPE_T, 1, dof), part(SHAPE_NORMAL, s, 0)};
            for (double x = -6 * s - 3; x < 6 * s + 3; x += s + 0.31)
                CHECK_NEAR(sumdist_cdf(parts, 2, x), t_and_normal(dof, s, x), 2e-6);
        }
}

/* JCGM 101:2008, 9.2.2, 9.2.3 and 9.2.4: sums of four inputs; 9.2.4 from memory. */
TEST(additive_models_of_jcgm_101)
{
    struct sumdist_part parts[4];
    for (int k = 0; k < 4; k++)
        parts[k] = part(SHAPE_NORMAL, 1, 0);
    CHECK_NEAR(sumdist_quantile(parts, 4, 0.975), 3.92, 0.005);
    for (int k = 0; k < 4; k++)
        parts[k] = part(SHAPE_RECTANGULAR, 1, 0);
    CHECK_NEAR(sumdist_quantile(parts, 4, 0.975), 3.88, 0.005);
    parts[3].u = 10;
    CHECK_NEAR(sumdist_quantile(parts, 4, 0.975), 17.0, 0.05);
}

/* Twelve parts of all shapes against four million draws: the share of draws at or below a quantile has
 * the standard deviation sqrt(p (1 - p) / 4e6), at most 2.5e-4. */
TEST(agrees_with_draws)
{
    enum { PARTS = 12, DRAWS = 4000000, PLACES = 7 };
    static const double p[PLACES] = {0.005, 0.025, 0.25, 0.5, 0.9, 0.975, 0.999};
    struct sumdist_part parts[PARTS];
    for (int k = 0; k < PARTS; k++)
        parts[k] = part((enum shape)(k % 5), 0.3 + 0.17 * k, 2.4 + k);
    parts[1].u = 3; /* one rectangular part leads */
    double at[PLACES];
    long below[PLACES] = {0};
    for (int j = 0; j < PLACES; j++)
        at[j] = sumdist_quantile(parts, PARTS, p[j]);
    struct random *random = random_new(92);
    for (long draw = 0; draw < DRAWS; draw++) {
        double sum = 0;
        for (int k = 0; k < PARTS; k++)
            sum += random_shape(random, parts[k].shape, parts[k].u, parts[k].dof);
        for (int j = 0; j < PLACES; j++)
            below[j] += sum <= at[j];
    }
    random_free(random);
    for (int j = 0; j < PLACES; j++)
        CHECK_NEAR((double)below[j] / DRAWS, p[j], 3.5 * sqrt(p[j] * (1 - p[j]) / DRAWS));
}

TEST(rises_and_turns_round)
{
    struct sumdist_part parts[] = {part(SHAPE_TRIANGULAR, 1, 0), part(SHAPE_ARCSINE, 0.7, 0),
                                   part(SHAPE_T, 0.2, 1.3), part(SHAPE_T, 0.4, 9)};
    double before = 0;
    for (double x = -60; x < 60; x += 0.173) {
        double now = sumdist_cdf(parts, 4, x);
        CHECK(now >= before - 1e-5);
        CHECK_NEAR(now + sumdist_cdf(parts, 4, -x), 1, 1e-9);
        before = now;
    }
    for (double p = 0.0013; p < 1; p += 0.0331)
        CHECK_NEAR(sumdist_cdf(parts, 4, sumdist_quantile(parts, 4, p)), p, 1e-9);
}

TEST(units_do_not_matter)
{
    struct sumdist_part parts[4];
    double want = NAN;
    for (double unit = 1; unit > 1e-290; unit *= 1e-29)
        for (int turn = 0; turn < 2; turn++) {
            double scale = turn == 0 ? unit : 1 / unit;
            parts[0] = part(SHAPE_T, 1.1 * scale, 5);
            parts[1] = part(SHAPE_NORMAL, 0.7 * scale, 0);
            parts[2] = part(SHAPE_TRIANGULAR, 0.9 * scale, 0);
            parts[3] = part(SHAPE_T, 0.4 * scale, 2);
            double got = sumdist_quantile(parts, 4, 0.975) / scale;
            want = isnan(want) ? got : want;
            CHECK_REL(got, want, 1e-9);
        }
}

TEST(nothing_and_nonsense)
{
    struct sumdist_part parts[] = {part(SHAPE_RECTANGULAR, 0, 0), part(SHAPE_NORMAL, 0, 0)};
    CHECK_NEAR(sumdist_quantile(parts, 2, 0.975), 0, 0);
    CHECK_NEAR(sumdist_cdf(parts, 0, -1e-300), 0, 0);
    CHECK_NEAR(sumdist_cdf(parts, 0, 0), 1, 0);
    parts[0].u = NAN;
    CHECK(isnan(sumdist_cdf(parts, 2, 0)));
    parts[0] = part(SHAPE_T, 1, NAN);
    CHECK(isnan(sumdist_quantile(parts, 2, 0.5)));
    parts[0] = part(SHAPE_RECTANGULAR, 1, 0);
    CHECK(isnan(sumdist_quantile(parts, 2, 1)));
    CHECK(isnan(sumdist_quantile(parts, 2, 0)));
    CHECK(isnan(sumdist_cdf(parts, 2, NAN)));
}
