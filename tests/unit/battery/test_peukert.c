#include "check.h"

#include "battery/peukert.h"

/* t = H (C / (I H))^k at 5, 20, 10 and 50 A, in an order that goes up and down. */
static void make_points(struct rate_point *points, double rated_ah, double hours, double k)
{
    const double amps[] = {5, 20, 10, 50};
    for (int n = 0; n < 4; n++) {
        double t_h = hours * pow(rated_ah / (amps[n] * hours), k);
        points[n] = (struct rate_point){amps[n], t_h * 3600, amps[n] * t_h, 22.4 + 0.3 * n, n, 0.2, 1};
    }
}

/* A 100 Ah battery at the 20 h rate, k = 1.2: 20, 8.70551, 3.78929, 1.26191 h (computed, check values).
 * t = C/I^n, C = 250, n = 1.3, I = 20 A: 5.088631644 h (easycalculation.com, tutorial). */
TEST(worked_examples)
{
    struct rate_point points[4];
    make_points(points, 100, 20, 1.2);
    CHECK_REL(points[2].duration_s / 3600, 8.70551, 1e-6);
    CHECK_REL(points[1].duration_s / 3600, 3.78929, 1e-6);
    CHECK_REL(points[3].duration_s / 3600, 1.26191, 1e-5);
    struct peukert peukert = peukert_fit(points, 4);
    CHECK(!peukert.confounded);
    CHECK_REL(peukert.exponent.value, 1.2, 1e-9);
    CHECK(peukert.exponent.u > 0); /* a perfect fit does not make the charges perfect */
    make_points(points, pow(250, 1 / 1.3), 1, 1.3);
    peukert = peukert_fit(points, 4);
    CHECK_REL(peukert.capacity_at_1a_ah / pow(20, peukert.exponent.value), 5.088631644, 1e-9);
}

/* A table that circulates for 100 Ah and k = 1.1 (10 A: 89, 20 A: 79, 50 A: 65, 100 A: 58 Ah) does not obey
 * the law it names, which gives 93.30, 87.06, 79.43 and 74.11 Ah. */
TEST(a_wrong_table_does_not_give_its_exponent)
{
    const double amps[] = {20, 10, 100, 50}, printed_ah[] = {79, 89, 58, 65},
                 right_ah[] = {87.06, 93.30, 74.11, 79.43};
    struct rate_point wrong[4], right[4];
    for (int n = 0; n < 4; n++) {
        wrong[n] =
            (struct rate_point){amps[n], printed_ah[n] / amps[n] * 3600, printed_ah[n], NAN, n, 0.1, 1};
        right[n] = (struct rate_point){amps[n], right_ah[n] / amps[n] * 3600, right_ah[n], NAN, n, 0.1, 1};
    }
    struct peukert of_wrong = peukert_fit(wrong, 4), of_right = peukert_fit(right, 4);
    CHECK(of_wrong.exponent.lo > 1.1);
    CHECK_NEAR(of_right.exponent.value, 1.1, 2e-4);
}

TEST(two_runs_give_a_bare_quotient)
{
    struct rate_point points[4];
    make_points(points, 100, 20, 1.15);
    struct peukert peukert = peukert_fit(points, 2);
    /* ln(t2 / t1) / ln(I1 / I2) is the law turned round */
    CHECK_REL(peukert.exponent.value, log(points[1].duration_s / points[0].duration_s) / log(5.0 / 20),
              1e-12);
    CHECK(isnan(peukert.exponent.u) && isnan(peukert.exponent.lo) &&
          strstr(peukert.words, "no uncertainty") != NULL);
    peukert = peukert_fit(points, 1);
    CHECK(!measure_known(&peukert.exponent) && !peukert.confounded);
    points[1].mean_a = points[0].mean_a;
    points[1].duration_s = points[0].duration_s;
    points[1].charge_ah = points[0].charge_ah;
    peukert = peukert_fit(points, 2);
    CHECK(!measure_known(&peukert.exponent));
}

TEST(runs_at_one_current_give_none)
{
    const struct rate_point points[] = {{.mean_a = 25.34, .duration_s = 14740, .charge_ah = 103.8, .degc = NAN, .order = NAN, .u_charge_ah = 0.5},
                                        {.mean_a = 25.25, .duration_s = 14757, .charge_ah = 103.5, .degc = NAN, .order = NAN, .u_charge_ah = 0.6}};
    struct peukert found = peukert_fit(points, 2);
    CHECK(!measure_known(&found.exponent));
    CHECK(strstr(found.words, "two currents") != NULL);
}

TEST(what_is_confounded_is_refused)
{
    struct rate_point points[5];
    make_points(points, 100, 20, 1.2);
    points[2].degc = 29;
    CHECK(peukert_fit(points, 4).confounded);
    make_points(points, 100, 20, 1.2);
    points[3].sample = 2;
    CHECK(peukert_fit(points, 4).confounded);
    make_points(points, 100, 20, 1.2);
    for (int n = 0; n < 4; n++)
        points[n].order = points[n].mean_a;
    CHECK(peukert_fit(points, 4).confounded);
    points[4] = points[0]; /* the first current again, at the end, with the same result */
    points[4].order = 100;
    CHECK(!peukert_fit(points, 5).confounded);
    points[4].charge_ah *= 0.96; /* with another one */
    points[4].duration_s *= 0.96;
    CHECK(peukert_fit(points, 5).confounded);
}

TEST(scatter_widens_the_interval)
{
    struct rate_point points[4];
    make_points(points, 100, 20, 1.2);
    double smooth = peukert_fit(points, 4).exponent.u;
    points[1].duration_s *= 1.03;
    points[3].duration_s *= 0.98;
    struct peukert peukert = peukert_fit(points, 4);
    CHECK(peukert.exponent.u > 3 * smooth);
    CHECK(peukert.exponent.lo < 1.2 && 1.2 < peukert.exponent.hi);
}
