#include "check.h"

#include "teardown/case_size.h"

TEST(groups_are_found_by_name)
{
    const struct case_group *group = case_group_named(span_of("BCI group 31"));
    CHECK(group != NULL && group->length_mm == 330 && !group->from_memory);
    CHECK(case_group_named(span_of("l5")) != NULL && case_group_named(span_of("31")) == group);
    CHECK(case_group_named(span_of("32")) == NULL && case_group_named(span_of("")) == NULL);
    CHECK(case_group_named(span_of("31 27")) == NULL);
}

/* Outlines as a dealer prints them in inches: 10.25 × 6.8125 × 8.875 for group 24, 13 × 6.8125 × 9.4375 for 31. */
TEST(outlines_are_those_of_the_inches)
{
    const struct case_group *a = case_group_named(span_of("24")), *b = case_group_named(span_of("31"));
    CHECK_NEAR(a->length_mm, 10.25 * 25.4, 1);
    CHECK_NEAR(a->width_mm, 6.8125 * 25.4, 1);
    CHECK_NEAR(b->height_mm, 9.4375 * 25.4, 1);
}

TEST(a_case_is_held_against_its_group)
{
    const struct case_group *group = case_group_named(span_of("31"));
    CHECK(case_size_hold(group, 329, 172, 214, 2).fit == CASE_MUCH_SMALLER); /* 26 mm lower */
    CHECK(case_size_hold(group, 172, 329, 238, 2).fit == CASE_FITS);         /* whichever way it was measured */
    struct case_match match = case_size_hold(group, 334, 173, 240, 2);
    CHECK(match.fit == CASE_TOO_LARGE);
    CHECK_NEAR(match.over_mm, 4, 1e-12);
    CHECK(case_size_hold(group, 331.5, 173, NAN, 2).fit == CASE_FITS);
    CHECK(case_size_hold(group, 1000 * 0.332, 1000 * 0.175, 1000 * 0.242, 2).fit == CASE_FITS); /* 2 mm over, each way */
}

TEST(the_nearest_that_fits_comes_first)
{
    struct case_match matches[4];
    CHECK(case_size_find(304, 170, 224, matches, 4) == 4);
    CHECK_TEXT(matches[0].group->name, "27");
    CHECK(matches[0].fit == CASE_FITS);
    for (int k = 1; k < 4; k++)
        CHECK(matches[k - 1].fit == CASE_FITS || matches[k].fit != CASE_FITS);
    CHECK(case_size_find(304, 170, 224, matches, 1) == 1 && strcmp(matches[0].group->name, "27") == 0);
}
