#include "check.h"

#include "numeric/budget.h"
#include "numeric/distribution.h"

static struct measure measure_with(const struct part *parts, int count)
{
    struct measure measure = measure_of(61.3);
    for (int k = 0; k < count; k++)
        measure_part(&measure, parts[k]);
    return measure;
}

TEST(normal_parts)
{
    struct part parts[] = {{.cause = CAUSE_NOISE, .u = 0.3, .dof = INFINITY},
                           {.cause = CAUSE_CLOCK, .u = -0.4, .dof = INFINITY}};
    struct measure measure = measure_with(parts, 2);
    budget_close(&measure);
    CHECK_REL(measure.u, 0.5, 1e-15);
    CHECK(isinf(measure.dof));
    CHECK_REL(measure.hi - 61.3, 1.959963984540054 * 0.5, 1e-9);
    CHECK_REL(61.3 - measure.lo, measure.hi - 61.3, 1e-9);
    CHECK_NEAR(budget_probability_below(&measure, measure.hi), 0.975, 1e-12);
}

TEST(one_rectangular_part_leads)
{
    /* JCGM 101:2008, 9.2.4, from memory: 17.0 where k u gives 19.9. */
    struct part parts[4];
    for (int k = 0; k < 4; k++)
        parts[k] = (struct part){
            .cause = (enum cause)k, .shape = SHAPE_RECTANGULAR, .u = k == 3 ? 10 : 1, .dof = INFINITY};
    struct measure measure = measure_with(parts, 4);
    budget_close(&measure);
    CHECK_NEAR(measure.u, 10.1, 0.05);
    CHECK_NEAR(measure.hi - measure.value, 17.0, 0.05);
}

TEST(effective_degrees_of_freedom)
{
    /* 0.57 with 9 and 0.25 with infinitely many: 12.8 (a published course example). */
    struct part parts[] = {{.cause = CAUSE_FIT, .u = 0.57, .dof = 9},
                           {.cause = CAUSE_NOISE, .u = 0.25, .dof = INFINITY}};
    struct measure measure = measure_with(parts, 2);
    budget_close(&measure);
    CHECK_NEAR(measure.dof, 12.80, 0.005);
    /* JCGM 101 keeps the t of nine degrees, whose tails are a little heavier than the formula's. */
    double k = (measure.hi - measure.value) / measure.u;
    CHECK(k > coverage_factor(0.95, 12.8) && k < coverage_factor(0.95, 9));
}

TEST(exact_unknown_and_unsound)
{
    struct measure measure = measure_of(5);
    budget_close(&measure);
    CHECK(measure.u == 0 && measure.lo == 5 && measure.hi == 5 && isinf(measure.dof));
    measure = measure_unknown("no voltage");
    budget_close(&measure);
    CHECK_TEXT(measure.why, "no voltage");
    CHECK(isnan(budget_probability_below(&measure, 1)));
    struct part part = {.cause = CAUSE_NOISE, .u = NAN, .dof = INFINITY};
    measure = measure_of(5);
    measure.parts[measure.count++] = part;
    budget_close(&measure);
    CHECK(!measure_known(&measure) && measure.why[0] != '\0');
}
