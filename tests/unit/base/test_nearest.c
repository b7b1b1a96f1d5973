#include "check.h"

#include "base/nearest.h"

static const char *const words[] = {"capacity", "cut-off voltage", "mass", "peak current", NULL};

TEST(joints_and_case_do_not_count)
{
    CHECK(name_find(span_of("Cut_Off  Voltage"), words) == 1);
    CHECK(name_find(span_of("cutoff voltage"), words) == -1);
    CHECK(name_alike(span_of(" MASS "), "mass"));
    CHECK(!name_alike(span_of("mas"), "mass"));
}

TEST(suggests_the_nearest_and_nothing_far)
{
    CHECK_TEXT(name_nearest(span_of("capactiy"), words), "capacity"); /* a swap counts once */
    CHECK_TEXT(name_nearest(span_of("cutoff voltage"), words), "cut-off voltage");
    CHECK_TEXT(name_nearest(span_of("mas"), words), "mass");
    CHECK(name_nearest(span_of("colour"), words) == NULL);
    CHECK(name_nearest(span_of(""), words) == NULL);
    char list[64];
    name_list(words, list, sizeof list);
    CHECK_TEXT(list, "capacity, cut-off voltage, mass, peak current");
}
