#include "quantity/join.h"
#include "check.h"

enum { LONG = 3000 };

static struct series stream(const double *t_s, size_t count, unsigned wanted)
{
    struct series series;
    CHECK(series_init(&series, count, wanted));
    series.count = count;
    memcpy(series.t_s, t_s, count * sizeof *t_s);
    return series;
}

static struct series amps_of(const double *t_s, const double *a, size_t count)
{
    struct series series = stream(t_s, count, 1u << CHANNEL_CURRENT);
    memcpy(series.column[CHANNEL_CURRENT], a, count * sizeof *a);
    series.resolution[CHANNEL_CURRENT] = 0.01;
    return series;
}

static struct series volts_of(const double *t_s, const double *v, size_t count)
{
    struct series series = stream(t_s, count, 1u << CHANNEL_VOLTAGE);
    memcpy(series.column[CHANNEL_VOLTAGE], v, count * sizeof *v);
    series.resolution[CHANNEL_VOLTAGE] = 0.001;
    return series;
}

static void join_two(struct series a, struct series b, double within, struct series *joined, double *skew_s)
{
    struct series streams[] = {a, b};
    struct message message;
    CHECK(series_join(streams, 2, within, joined, skew_s, &message) == STATUS_OK);
    series_free(&streams[0]);
    series_free(&streams[1]);
}

TEST(a_straight_line_lies_between_two_neighbours)
{
    static const double ta[] = {0, 1.1, 1.9, 3.3, 4.2, 5}, a[] = {0, 24.1, 24.3, 24.2, 24.7, 25};
    static const double tv[] = {0.6, 1.7, 2.6, 3.3, 4.9}, v[] = {13.31, 13.24, 13.18, 13.17, 13.09};
    struct series joined;
    double skew_s;
    join_two(volts_of(tv, v, 5), amps_of(ta, a, 6), 3, &joined, &skew_s);
    CHECK(joined.count == 6 && joined.column[CHANNEL_CURRENT][4] == 24.7);
    const double *got = joined.column[CHANNEL_VOLTAGE];
    CHECK(isnan(got[0]) && isnan(got[5])); /* nothing beyond the ends */
    CHECK_NEAR(got[1], 13.31 + (13.24 - 13.31) * 0.5 / 1.1, 1e-12);
    CHECK_NEAR(got[2], 13.24 + (13.18 - 13.24) * 0.2 / 0.9, 1e-12);
    CHECK(got[3] == 13.17);
    CHECK_NEAR(got[4], 13.17 + (13.09 - 13.17) * 0.9 / 1.6, 1e-12);
    CHECK(joined.resolution[CHANNEL_VOLTAGE] == 0.001 && joined.resolution[CHANNEL_CURRENT] == 0.01);
    /* nearer neighbours 0.5, 0.2, 0 and 0.7 s away */
    CHECK_NEAR(skew_s, 0.7, 1e-12); /* below sqrt(3 (0.25 + 0.04 + 0.49) / 4) */
    series_free(&joined);
}

TEST(nothing_is_carried_across_a_gap_or_missing_cells)
{
    double ta[20], a[20], tv[20], v[20];
    size_t n = 0;
    for (int k = 0; k < 20; k++) {
        ta[k] = k, a[k] = 20 + 0.37 * k;
        if (k >= 8 && k < 12)
            continue;
        tv[n] = k + 0.25, v[n++] = 13 - 0.011 * k;
    }
    v[3] = NAN; /* one cell missing is bridged: 2 s of 1 s periods are within 3 */
    struct series volts = volts_of(tv, v, n), joined;
    series_gap(&volts, (struct gap){14, 1, 0, INFINITY, "the cable was out"});
    double skew_s;
    join_two(amps_of(ta, a, 20), volts, 3, &joined, &skew_s);
    const double *got = joined.column[CHANNEL_VOLTAGE];
    for (int k = 1; k < 20; k++) {
        bool open = (k > 7 && k <= 12) || k == 18; /* row 14 of the volts is at 18.25 s */
        if (open)
            CHECK(isnan(got[k]));
        else
            CHECK_NEAR(got[k], 13 - 0.011 * (k - 0.25), 1e-12);
    }
    series_free(&joined);
}

TEST(one_stream_with_both_has_no_skew_and_the_first_is_preferred)
{
    static const double t[] = {0, 1, 2.5, 3}, a[] = {1, 2, 3, 4}, v[] = {13, 12.9, 12.8, 12.7},
                        other[] = {13.5, 13.4, 13.3, 13.2};
    struct series meter = stream(t, 4, 1u << CHANNEL_VOLTAGE | 1u << CHANNEL_CURRENT);
    memcpy(meter.column[CHANNEL_VOLTAGE], v, sizeof v);
    memcpy(meter.column[CHANNEL_CURRENT], a, sizeof a);
    meter.start_utc_s = 1680516000;
    series_mark(&meter, 2, "burst", 3);
    struct series second = volts_of(t, other, 4), joined;
    series_mark(&second, 1, "load on", 2);
    struct series streams[] = {meter, second};
    double skew_s = 7;
    CHECK(series_join(streams, 2, 3, &joined, &skew_s, NULL) == STATUS_OK);
    CHECK(skew_s == 0 && joined.column[CHANNEL_VOLTAGE][2] == 12.8 && joined.start_utc_s == 1680516000);
    CHECK(joined.mark_count == 2 && strcmp(joined.marks[0].words, "load on") == 0);
    series_free(&joined);
    struct series turned[] = {second, meter};
    CHECK(series_join(turned, 2, 3, &joined, &skew_s, NULL) == STATUS_OK);
    CHECK(joined.column[CHANNEL_VOLTAGE][2] == 13.3 && joined.column[CHANNEL_CURRENT][3] == 4);
    series_free(&joined);
    series_free(&meter);
    series_free(&second);
}

/* Free-running clocks: a ramp comes through exactly, and the skew is half the period of the volts. */
TEST(streams_that_run_free_of_each_other)
{
    static double ta[LONG], a[LONG], tv[LONG], v[LONG];
    for (int k = 0; k < LONG; k++) {
        ta[k] = 0.83 * k, a[k] = 24;
        tv[k] = 1.0037 * k - 1, v[k] = 13.3 - 0.00021 * tv[k];
    }
    struct series joined;
    double skew_s, worst = 0;
    join_two(amps_of(ta, a, LONG), volts_of(tv, v, LONG), 3, &joined, &skew_s);
    for (size_t k = 0; k < LONG; k++)
        worst = fmax(worst, fabs(joined.column[CHANNEL_VOLTAGE][k] - (13.3 - 0.00021 * ta[k])));
    CHECK_NEAR(worst, 0, 1e-12);
    CHECK_REL(skew_s, 1.0037 / 2, 0.02);
    series_free(&joined);
}

TEST(streams_without_readings)
{
    struct series none = {0}, joined;
    double skew_s;
    struct message message;
    CHECK(series_join(&none, 1, 3, &joined, &skew_s, &message) == STATUS_UNREADABLE);
    CHECK(series_join(NULL, 0, 3, &joined, &skew_s, NULL) == STATUS_UNREADABLE);
    static const double t[] = {0, 1}, v[] = {13, 12.9};
    struct series streams[] = {none, volts_of(t, v, 2)};
    CHECK(series_join(streams, 2, 3, &joined, &skew_s, &message) == STATUS_OK);
    CHECK(joined.count == 2 && joined.column[CHANNEL_CURRENT] == NULL && skew_s == 0);
    series_free(&joined);
    series_free(&streams[1]);
}
