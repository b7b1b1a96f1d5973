#include "check.h"

#include "battery/ledger.h"
#include "numeric/random.h"

enum { N = 9001 }; /* four entries and a broken one */
static double t[N], v[N], a[N];

/* Uneven and partly repeated, as event loggers write. */
static struct trace make_trace(uint32_t seed)
{
    struct random *random = random_new(seed);
    double now = 3.5;
    for (size_t k = 0; k < N; k++) {
        now += random_uniform(random) < 0.05 ? 0 : 1.7 * random_uniform(random);
        t[k] = now;
        v[k] = 13.21 - 2.3e-4 * (double)k + 0.004 * random_normal(random);
        a[k] = floor((24.8 + 0.03 * random_normal(random)) / 0.05) * 0.05; /* a digit of 0.05 A */
    }
    random_free(random);
    return (struct trace){.count = N, .t_s = t, .v = v, .a = a};
}

/* The same sums, reading by reading. */
static struct sums by_definition(size_t first, size_t last)
{
    struct sums s = {.low_v = INFINITY};
    double flat = 0, longest = 0, square = 0;
    for (size_t k = first; k < last; k++) {
        double h = t[k + 1] - t[k];
        s.duration_s += h;
        s.charge_c += h * (a[k] + a[k + 1]) / 2;
        s.energy_j += h * (2 * v[k] * a[k] + 2 * v[k + 1] * a[k + 1] + v[k] * a[k + 1] + v[k + 1] * a[k]) / 6;
        s.width2_s2 += h * h;
        s.width3_s3 += h * h * h;
        flat += h;
        if (a[k + 1] != a[k]) {
            square += flat * flat;
            longest = fmax(longest, flat);
            flat = 0;
        }
        if (k == first)
            continue;
        double before = t[k] - t[k - 1], line = a[k - 1] + (a[k + 1] - a[k - 1]) * before / (before + h);
        double bend = before + h > 0 ? (before + h) / 2 * (line - a[k]) : 0;
        s.amps.bend += bend;
        s.amps.bend2 += bend * bend;
        double weight = before * h * (before + h) / 4;
        s.bend_weight += weight;
        s.bend_weight2 += weight * weight;
        double watts_before = v[k] * a[k] - v[k - 1] * a[k - 1],
               watts_after = v[k + 1] * a[k + 1] - v[k] * a[k];
        s.both.turn += ((a[k] - a[k - 1]) * watts_after + watts_before * (a[k + 1] - a[k])) / 2;
        s.watts.turn += watts_before * watts_after;
        s.amps.turn += (a[k] - a[k - 1]) * (a[k + 1] - a[k]);
        s.bends++;
    }
    s.flat_a = (struct flats){.square_s2 = square + flat * flat, .longest_s = fmax(longest, flat)};
    for (size_t k = first; k <= last; k++) {
        s.peak_a = fmax(s.peak_a, fabs(a[k]));
        s.low_v = fmin(s.low_v, v[k]);
    }
    return s;
}

TEST(sums_of_any_stretch_agree_with_the_definition)
{
    struct trace trace = make_trace(41);
    struct ledger ledger;
    CHECK(ledger_init(&ledger, &trace));
    const size_t ends[][2] = {{0, N - 1},   {0, 1},       {17, 17},  {5, 2048},
                              {2048, 4096}, {2047, 4097}, {1, 8192}, {4000, 9000}};
    for (size_t k = 0; k < sizeof ends / sizeof ends[0]; k++) {
        struct sums got = ledger_sums(&ledger, ends[k][0], ends[k][1]);
        struct sums want = by_definition(ends[k][0], ends[k][1]);
        CHECK_NEAR(got.duration_s, want.duration_s, 1e-9);
        CHECK_REL(got.charge_c, want.charge_c, 1e-12);
        CHECK_REL(got.energy_j, want.energy_j, 1e-12);
        CHECK_REL(got.width2_s2, want.width2_s2, 1e-12);
        CHECK_REL(got.width3_s3, want.width3_s3, 1e-12);
        CHECK_NEAR(got.amps.bend, want.amps.bend, 1e-9);
        CHECK_REL(got.amps.bend2, want.amps.bend2, 1e-11);
        CHECK_NEAR(got.amps.turn, want.amps.turn, 1e-9);
        CHECK_NEAR(got.watts.turn, want.watts.turn, 1e-7);
        CHECK_NEAR(got.both.turn, want.both.turn, 1e-8);
        CHECK_REL(got.bend_weight, want.bend_weight, 1e-12);
        CHECK_REL(got.bend_weight2, want.bend_weight2, 1e-12);
        CHECK(got.bends == want.bends);
        CHECK_REL(flats_square(&got.flat_a), want.flat_a.square_s2, 1e-11);
        CHECK_NEAR(got.flat_a.longest_s, want.flat_a.longest_s, 1e-9);
        CHECK_NEAR(got.peak_a, want.peak_a, 0);
        CHECK_NEAR(got.low_v, want.low_v, 0);
    }
    ledger_free(&ledger);
}

TEST(searches_agree_with_a_walk)
{
    struct trace trace = make_trace(43);
    struct ledger ledger;
    CHECK(ledger_init(&ledger, &trace));
    const size_t firsts[] = {0, 1, 2047, 2049, 5000};
    for (size_t j = 0; j < sizeof firsts / sizeof firsts[0]; j++) {
        size_t first = firsts[j], last = N - 3, want = first;
        while (want <= last && v[want] > 11.9)
            want++;
        CHECK(ledger_falls_to(&ledger, first, last, 11.9) == want);
        CHECK(ledger_falls_to(&ledger, first, last, 5) == last + 1);
        struct place place;
        double whole = ledger_sums(&ledger, first, last).charge_c;
        CHECK(ledger_reaches(&ledger, first, last, false, 0.7137 * whole, &place));
        struct place from = {first, 0};
        CHECK_REL(integrate_between(t, a, NULL, N, from, place), 0.7137 * whole, 1e-10);
        CHECK(ledger_reaches(&ledger, first, last, true, 2e5, &place));
        CHECK_REL(integrate_between(t, a, v, N, from, place), 2e5, 1e-10);
        CHECK(!ledger_reaches(&ledger, first, last, false, 1.01 * whole, &place));
    }
    ledger_free(&ledger);
}

/* watts - 12.7 V · amps, reading by reading, has the scatter that scatter_less makes of the three. */
TEST(scatter_of_a_difference)
{
    struct trace trace = make_trace(53);
    struct ledger ledger;
    CHECK(ledger_init(&ledger, &trace));
    struct sums sums = ledger_sums(&ledger, 100, 5000);
    struct scatter got = scatter_less(&sums.watts, &sums.amps, &sums.both, 12.7);
    for (size_t k = 0; k < N; k++)
        a[k] = v[k] * a[k] - 12.7 * a[k];
    struct scatter want = by_definition(100, 5000).amps;
    CHECK_NEAR(got.bend, want.bend, 1e-8);
    CHECK_REL(got.bend2, want.bend2, 1e-8);
    CHECK_NEAR(got.turn, want.turn, 1e-8);
    ledger_free(&ledger);
}

TEST(unbending_takes_out_what_a_step_put_in)
{
    struct trace trace = make_trace(47);
    struct ledger ledger;
    for (size_t k = 3000; k < N; k++)
        a[k] += 80;
    CHECK(ledger_init(&ledger, &trace));
    struct sums sums = ledger_sums(&ledger, 0, N - 1);
    double with = sums.amps.bend2;
    sums_unbend(&sums, &trace, 2999);
    sums_unbend(&sums, &trace, 3000);
    double quiet = by_definition(0, 2999).amps.bend2 + by_definition(3000, N - 1).amps.bend2;
    CHECK_REL(sums.amps.bend2, quiet, 1e-9);
    CHECK(with > 100 * quiet);
    ledger_free(&ledger);
}
