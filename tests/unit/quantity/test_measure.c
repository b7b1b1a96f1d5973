#include "check.h"

#include "quantity/measure.h"

static struct part part(enum cause cause, double u, uint32_t source)
{
    return (struct part){.cause = cause, .shape = SHAPE_RECTANGULAR, .u = u, .dof = INFINITY, .source = source, .what = "", .remedy = ""};
}

TEST(shared_gain_cancels_in_a_difference)
{
    struct measure a = measure_of(61.3), b = measure_of(58.9);
    measure_part(&a, part(CAUSE_GAIN_CURRENT, 0.613, 7));
    measure_part(&b, part(CAUSE_GAIN_CURRENT, 0.589, 7));
    struct measure d = measure_sum(&a, 1, &b, -1);
    CHECK_NEAR(d.value, 2.4, 1e-12);
    CHECK(d.count == 1);
    CHECK_NEAR(d.parts[0].u, 0.024, 1e-12);
}

TEST(own_errors_do_not_cancel)
{
    struct measure a = measure_of(61.3), b = measure_of(58.9);
    measure_part(&a, part(CAUSE_NOISE, 0.3, 0));
    measure_part(&b, part(CAUSE_NOISE, 0.4, 0));
    struct measure d = measure_sum(&a, 1, &b, -1);
    CHECK(d.count == 2); /* two rectangles stay two */
    CHECK_NEAR(hypot(d.parts[0].u, d.parts[1].u), 0.5, 1e-12);
}

TEST(unknown_stays_unknown)
{
    struct measure a = measure_of(61.3), b = measure_unknown("no %s in the log", "volts");
    struct measure d = measure_sum(&a, 1, &b, -1);
    CHECK(!measure_known(&d));
    CHECK_TEXT(d.why, "no volts in the log");
}

TEST(a_full_table_keeps_the_variance)
{
    struct measure a = measure_of(1);
    double variance = 0;
    for (int k = 0; k < 40; k++) {
        double u = 0.01 * (k + 1);
        variance += u * u;
        measure_part(&a, part((enum cause)(k % CAUSES), u, 0));
    }
    double got = 0;
    for (int k = 0; k < a.count; k++)
        got += a.parts[k].u * a.parts[k].u;
    CHECK(a.count <= MEASURE_PARTS);
    CHECK_REL(got, variance, 1e-12);
}

TEST(prints_two_digits_of_the_interval)
{
    char s[64];
    struct measure a = measure_of(61.1389);
    measure_print(&a, "Ah", s, sizeof s);
    CHECK_TEXT(s, "61.139 Ah");
    a.lo = 61.1389 - 0.9412, a.hi = 61.1389 + 0.9412;
    measure_print(&a, "Ah", s, sizeof s);
    CHECK_TEXT(s, "61.14 ± 0.94 Ah");
    a = measure_unknown("no volts");
    measure_print(&a, "Wh", s, sizeof s);
    CHECK_TEXT(s, "cannot tell");
}
