#include "check.h"

#include "teardown/ampacity.h"
#include "teardown/gauge.h"

/* 33 CFR 183.425, Table 5. */
TEST(the_table_for_boats_is_the_regulations)
{
    CHECK_NEAR(ampacity_boats(awg_area_mm2(10), 105).a, 60, 0);
    CHECK_NEAR(ampacity_boats(awg_area_mm2(6), 105).a, 120, 0);
    CHECK_NEAR(ampacity_boats(awg_area_mm2(-3), 105).a, 445, 0);
    CHECK_NEAR(ampacity_boats(awg_area_mm2(2), 60).a, 140, 0);
    CHECK_NEAR(ampacity_boats(awg_area_mm2(0), 200).a, 325, 0);
}

TEST(between_sizes_and_ratings_the_lower_holds)
{
    struct ampacity found = ampacity_boats(6, 100); /* between 10 and 8 AWG, between 90 and 105 °C */
    CHECK_NEAR(found.awg, 10, 0);
    CHECK_NEAR(found.insulation_degc, 90, 0);
    CHECK_NEAR(found.a, 55, 0);
    CHECK_NEAR(ampacity_boats(5.25, 105).a, 60, 0); /* 10 AWG, as printed on a jacket */
    CHECK(isnan(ampacity_boats(0.3, 105).a));
    CHECK(isnan(ampacity_boats(10, 40).a));
}

/* NEC 310.15(B)(1), base 30 °C, as printed; the table gives a band of temperatures the factor of its top. */
TEST(other_temperatures_by_the_root_of_the_rises)
{
    CHECK_NEAR(ampacity_factor(75, 30, 40), 0.88, 0.005);
    CHECK_NEAR(ampacity_factor(60, 30, 45), 0.71, 0.005);
    CHECK_NEAR(ampacity_factor(90, 30, 70), 0.58, 0.005);
    CHECK_NEAR(ampacity_factor(105, 30, 50), 0.856, 0.001); /* boats' engine spaces: 0.85 */
    CHECK_NEAR(ampacity_factor(60, 30, 61), 0, 0);
}
