#include "made_record.h"

#include "numeric/random.h"
#include "report/curve_data.h"

#define SEED 20260214u

/* A sloping discharge with noise, and one low and one high reading that must not be lost. */
TEST(of_a_long_log_few_points_are_kept_and_no_extreme_is_lost)
{
    enum { N = 200001 };
    struct assessment made = with_record(N, 0.37);
    double *v = made.records[0].log.series.column[CHANNEL_VOLTAGE], *a = made.records[0].log.series.column[CHANNEL_CURRENT];
    struct random *random = random_new(SEED);
    double ah = 0;
    for (size_t k = 0; k < N; k++) {
        v[k] = 13.2 - 2.9 * (double)k / N + 0.013 * random_normal(random);
        a[k] = 24.7 + 0.31 * random_normal(random);
    }
    random_free(random);
    v[77777] = 8.123, v[123456] = 15.321, a[55555] = 41.7, a[160001] = 3.21;
    for (size_t k = 1; k < N; k++)
        ah += 0.5 * (a[k] + a[k - 1]) * 0.37 / 3600;
    struct curve_data data;
    CHECK(curve_data_make(&made.records[0], &data));
    CHECK(data.count < 40000);
    double lowest = INFINITY, highest = -INFINITY, least = INFINITY, most = -INFINITY;
    for (size_t k = 0; k < data.count; k++) {
        lowest = fmin(lowest, data.v[k]), highest = fmax(highest, data.v[k]);
        least = fmin(least, data.a[k]), most = fmax(most, data.a[k]);
        CHECK(k == 0 || (data.x[k] >= data.x[k - 1] && data.t_s[k] > data.t_s[k - 1]));
    }
    CHECK(lowest == 8.123 && highest == 15.321 && least == 3.21 && most == 41.7);
    CHECK_REL(data.x[data.count - 1], ah, 1e-9);
    CHECK(data.along == CURVE_CHARGE && !data.sparse);
    curve_data_free(&data);
    curve_data_free(&data);
    record_free(&made);
}

TEST(a_hole_parts_the_line_unless_holes_are_the_rule)
{
    struct assessment made = with_record(3000, 2);
    struct series *series = &made.records[0].log.series;
    for (size_t k = 0; k < 3000; k++) {
        series->t_s[k] += k > 1700 ? 411 : 0;
        series->column[CHANNEL_VOLTAGE][k] = 12.8 - 0.0003 * (double)k;
        series->column[CHANNEL_CURRENT][k] = 9.7;
    }
    struct curve_data data;
    CHECK(curve_data_make(&made.records[0], &data));
    size_t breaks = 0;
    for (size_t k = 0; k < data.count; k++)
        breaks += isnan(data.v[k]);
    CHECK(breaks == 1);
    CHECK_REL(data.x[data.count - 1], 9.7 * (2999 * 2 + 411) / 3600, 1e-12);
    curve_data_free(&data);
    for (size_t k = 0; k < 3000; k++)
        series->t_s[k] = 50.0 * (double)(k / 2);
    CHECK(curve_data_make(&made.records[0], &data));
    for (size_t k = 0; k < data.count; k++)
        CHECK(isfinite(data.v[k]));
    curve_data_free(&data);
    record_free(&made);
}

TEST(the_meter_that_averages_over_the_end_does_not_show_volts_under_load)
{
    struct assessment made = with_record(400, 2);
    struct record *record = &made.records[0];
    for (size_t k = 0; k < 400; k++) {
        record->log.series.column[CHANNEL_VOLTAGE][k] = k < 390 ? 12.6 - 0.006 * (double)k : k == 390 ? 4.08 : 0.31;
        record->log.series.column[CHANNEL_CURRENT][k] = k < 390 ? 24.3 : k == 390 ? 9.93 : 0;
    }
    record->findings.runs[0].last = 390;
    struct curve_data data;
    CHECK(curve_data_make(record, &data));
    CHECK_NEAR(data.v[data.count - 1], 12.6 - 0.006 * 389, 1e-12);
    CHECK_NEAR(data.fell_to_v, 0.31, 1e-12);
    CHECK_NEAR(curve_data_at(&data, 389), 24.3 * 389 / 3600, 1e-9);
    CHECK(curve_data_at(&data, -5) == data.x[0]);
    CHECK(curve_data_at(&data, 5000) == data.x[data.count - 1]);
    CHECK(isnan(curve_data_at(&data, NAN)));
    curve_data_free(&data);
    record_free(&made);
}

TEST(without_a_test_there_is_no_curve)
{
    struct assessment made = with_record(2, 1);
    made.records[0].findings.has_test = false;
    struct curve_data data;
    CHECK(!curve_data_make(&made.records[0], &data));
    record_free(&made);
}

/* Tallies at some instants only; between them the amps share out what the tallies say. */
TEST(readings_by_eye_stand_at_their_tallies)
{
    struct assessment demo = assessed("demo/bivouac-pack.readings", "demo/bivouac-pack.label", NULL);
    struct curve_data data;
    CHECK(curve_data_make(&demo.records[0], &data));
    CHECK(data.sparse && data.along == CURVE_CHARGE);
    CHECK(data.count == demo.records[0].sightings.count);
    bool seen = false;
    for (size_t k = 0; k < data.count; k++) {
        CHECK(k == 0 || data.x[k] >= data.x[k - 1]);
        seen |= fabs(data.x[k] - 17.4) < 1e-9;
    }
    CHECK(seen);
    CHECK(data.x[4] > 7.4 && data.x[4] < 17.4); /* half past one: amps, no tally */
    CHECK_NEAR(data.x[4], 12.4, 0.4);
    CHECK(data.mark_count == 3);
    curve_data_free(&data);
    assessment_free(&demo);
}
