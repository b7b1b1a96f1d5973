#include "check.h"

#include "base/memory.h"
#include "numeric/integrate.h"
#include "numeric/random.h"

enum { N = 1777 };
static double t[N], a[N], b[N];

static void make_log(uint32_t seed)
{
    struct random *random = random_new(seed);
    double now = 17.25;
    for (size_t k = 0; k < N; k++) {
        now += random_uniform(random) < 0.1 ? 0 : 3 * random_uniform(random); /* some instants twice */
        t[k] = now;
        a[k] = 12.5 + random_normal(random);
        b[k] = 40 * random_uniform(random) - 10;
    }
    random_free(random);
}

/* The definition, term by term in extended precision: a signal (p, q) over h, and a product by
 * expanding (p + dp x)(q + dq x). */
static double by_definition(const double *y, const double *z, size_t from, size_t to)
{
    long double total = 0;
    for (size_t k = from; k < to; k++) {
        long double h = (long double)t[k + 1] - t[k], p = y[k], dp = (long double)y[k + 1] - y[k];
        long double q = z != NULL ? z[k] : 1, dq = z != NULL ? (long double)z[k + 1] - z[k] : 0;
        total += h * (p * q + (p * dq + q * dp) / 2 + dp * dq / 3);
    }
    return (double)total;
}

TEST(agrees_with_the_definition)
{
    make_log(11);
    for (size_t n = 2; n < N; n += n < 20 ? 1 : 97) { /* whole blocks and broken ones */
        CHECK_REL(integrate_linear(t, a, n), by_definition(a, NULL, 0, n - 1), 1e-14);
        CHECK_NEAR(integrate_product(t, a, b, n), by_definition(a, b, 0, n - 1), 1e-10);
    }
    double both[2];
    integrate_both(t, a, b, N, both);
    CHECK_NEAR(both[0], integrate_linear(t, a, N), 0);
    CHECK_NEAR(both[1], integrate_product(t, a, b, N), 0);
    CHECK_NEAR(integrate_linear(t, a, 0), 0, 0);
    CHECK_NEAR(integrate_product(t, a, b, 1), 0, 0);
}

TEST(trapezia_of_a_sine)
{
    /* Ten trapezia under sin from 0 to pi: 10 intervals give pi/10 * cot(pi/20), 1.98352353750945
     * (algebra). */
    double x[11], y[11];
    for (int k = 0; k <= 10; k++) {
        x[k] = M_PI * k / 10;
        y[k] = sin(x[k]);
    }
    CHECK_NEAR(integrate_linear(x, y, 11), 1.9835235375094546, 1e-14);
}

TEST(parts_add_up_and_signs_turn)
{
    make_log(12);
    struct place from = {0, 0}, cut, to = {N - 1, 0};
    double whole = integrate_between(t, a, b, N, from, to);
    CHECK_NEAR(whole, integrate_product(t, a, b, N), 0);
    for (double at = t[0]; at < t[N - 1]; at += 31.7) {
        CHECK(place_at(t, N, at, &cut));
        double before = integrate_between(t, a, b, N, from, cut);
        double after = integrate_between(t, a, b, N, cut, to);
        CHECK_NEAR(before + after, whole, 1e-9);
        CHECK_NEAR(integrate_between(t, a, b, N, to, cut), -after, 1e-9);
    }
}

TEST(instants_by_time)
{
    double when[] = {1, 2, 2, 2, 5}, value[] = {10, 12, 14, 20, 26};
    struct place place = {77, 0.5};
    CHECK(!place_at(when, 5, 0.999, &place));
    CHECK(!place_at(when, 5, 5.001, &place));
    CHECK(!place_at(when, 5, NAN, &place));
    CHECK(place.k == 77); /* untouched */
    CHECK(place_at(when, 5, 1.5, &place));
    CHECK_NEAR(place_value(value, 5, place), 11, 1e-15);
    CHECK(place_at(when, 5, 2, &place)); /* the last reading of that instant */
    CHECK_NEAR(place_value(value, 5, place), 20, 0);
    CHECK(place_at(when, 5, 5, &place));
    CHECK_NEAR(place_value(value, 5, place), 26, 0);
}

TEST(instants_by_level)
{
    double falling[] = {13.2, 12.9, 13.0, 11.0, 9.0};
    struct place place;
    CHECK(place_falls_to(falling, 5, 12, &place));
    CHECK(place.k == 2);
    CHECK_NEAR(place.fraction, 0.5, 1e-15);
    CHECK(place_falls_to(falling, 5, 12.95, &place)); /* the first passage, not the last */
    CHECK(place.k == 0);
    CHECK(place_falls_to(falling, 5, 14, &place));
    CHECK(place.k == 0 && place.fraction == 0);
    CHECK(!place_falls_to(falling, 5, 8.9, &place));
}

TEST(instants_by_integral)
{
    make_log(13);
    struct place place, start = {0, 0};
    double charge = integrate_linear(t, a, N), energy = integrate_product(t, a, b, N);
    for (double share = 0.003; share < 1; share += 0.049) {
        CHECK(place_reaches(t, a, NULL, N, share * charge, &place));
        CHECK_REL(integrate_between(t, a, NULL, N, start, place), share * charge, 1e-12);
        CHECK(place_reaches(t, a, b, N, share * energy, &place));
        CHECK_REL(integrate_between(t, a, b, N, start, place), share * energy, 1e-12);
    }
    CHECK(!place_reaches(t, a, NULL, N, 1.001 * charge, &place));
    CHECK(place_reaches(t, a, NULL, N, 0, &place));
    CHECK(place.k == 0 && place.fraction == 0);
}

TEST(twenty_million_intervals_lose_nothing)
{
    /* A tenth has no exact binary form; a plain running sum of these drifts by 1e-10 and more. */
    size_t n = 20000001;
    double *when = memory_try(n, sizeof *when), *same = memory_try(n, sizeof *same);
    if (when == NULL || same == NULL)
        SKIP("320 MB of memory are not to be had");
    for (size_t k = 0; k < n; k++) {
        when[k] = (double)k / 10;
        same[k] = 25.1;
    }
    CHECK_REL(integrate_linear(when, same, n), 25.1 * 2e6, 1e-15);
    CHECK_REL(integrate_product(when, same, same, n), 25.1 * 25.1 * 2e6, 1e-15);
    memory_try_free(when, n, sizeof *when);
    memory_try_free(same, n, sizeof *same);
}
