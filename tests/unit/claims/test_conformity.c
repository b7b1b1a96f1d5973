#include "check.h"

#include "claims/conformity.h"
#include "numeric/budget.h"

static struct measure normal(double value, double u)
{
    struct measure m = measure_of(value);
    measure_part(&m, (struct part){.cause = CAUSE_NOISE, .shape = SHAPE_NORMAL, .u = u, .dof = INFINITY, .what = "", .remedy = ""});
    budget_close(&m);
    return m;
}

/* JCGM 106:2012, 7.4: y 13.6, u 1.8, limits 12.5 and 16.3; the inputs are the standard's as a published
 * account gives them, the answer computed from the normal distribution. */
TEST(jcgm_106_two_limits)
{
    struct measure m = normal(13.6, 1.8);
    CHECK_NEAR(conformity_within(&m, 12.5, 16.3), 0.66263, 2e-5);
}

/* JCGM 106:2012, table 1: conformance probability against z, from memory; normal quantiles to two digits. */
TEST(jcgm_106_table_1)
{
    static const double p[] = {0.80, 0.90, 0.95, 0.99, 0.999}, z[] = {0.84, 1.28, 1.64, 2.33, 3.09};
    for (int k = 0; k < 5; k++) {
        struct measure m = normal(100 + z[k] * 2.3, 2.3);
        CHECK_NEAR(conformity_at_least(&m, 100), p[k], 0.003);
    }
}

/* ILAC-G8:09/2019: a guard band of the expanded uncertainty leaves a false-accept risk of at most 2.5 %. */
TEST(ilac_g8_guard_band)
{
    struct measure m = normal(0.0030 - 0.0010, 0.0010 / 1.96);
    CHECK_NEAR(1 - conformity_at_most(&m, 0.0030), 0.025, 1e-4);
}

/* Specific risk, limits 9 and 11, sd 0.4: published values of a risk-analysis text. */
TEST(specific_risk)
{
    static const double mean[] = {10, 10.5, 12}, risk[] = {0.01242, 0.10574, 0.99379};
    for (int k = 0; k < 3; k++) {
        struct measure m = normal(mean[k], 0.4);
        CHECK_NEAR(1 - conformity_within(&m, 9, 11), risk[k], 1e-5);
    }
}

/* What the figure shows is what is decided: at 0.975 the interval just touches the claim. */
TEST(met_is_an_interval_that_clears)
{
    struct measure m = measure_of(61.3);
    measure_part(&m, (struct part){.cause = CAUSE_GAIN_CURRENT, .shape = SHAPE_RECTANGULAR, .u = 0.71, .dof = INFINITY, .what = "", .remedy = ""});
    measure_part(&m, (struct part){.cause = CAUSE_NOISE, .shape = SHAPE_NORMAL, .u = 0.12, .dof = INFINITY, .what = "", .remedy = ""});
    budget_close(&m);
    CHECK_NEAR(conformity_at_least(&m, m.lo), 0.975, 1e-4);
    CHECK_NEAR(conformity_at_most(&m, m.lo), 0.025, 1e-4);
    struct measure unknown = measure_unknown("nothing");
    CHECK(isnan(conformity_at_least(&unknown, 1)));
}
