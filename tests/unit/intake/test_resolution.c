#include "intake/resolution.h"
#include "check.h"

static double x[5000];

static double noise(int k)
{
    return sin(12.9898 * k) * 43758.5453 - floor(sin(12.9898 * k) * 43758.5453) -
           0.5; /* untidy, the same every time */
}

TEST(decimals_as_typed)
{
    static const double few[] = {13.2, 13.21, 13.2};
    CHECK_REL(resolution_find(few, 3, 2, 1), 0.01, 1e-12);
    CHECK_REL(resolution_find(few, 3, 2, 1e-3), 1e-5, 1e-12); /* in millivolts */
    static const double constant[] = {25, 25, 25};
    CHECK_REL(resolution_find(constant, 3, 1, 1), 0.1, 1e-12); /* 25.0 */
}

TEST(zeros_that_every_value_ends_on_do_not_count)
{
    for (int k = 0; k < 5000; k++)
        x[k] =
            round((13.2 + 0.05 * noise(k)) * 1e4) / 1e4; /* printed with six decimals, measured with four */
    CHECK_REL(resolution_find(x, 5000, 6, 1), 1e-4, 1e-9);
}

TEST(steps_of_a_converter_show_through_its_digits)
{
    for (int k = 0; k < 5000; k++)
        x[k] = 0.00390625 * floor((13.2 + 0.05 * noise(k)) / 0.00390625) + 1e-11 * 3;
    CHECK_REL(resolution_find(x, 5000, 10, 1), 0.00390625, 1e-6);
}

TEST(averages_have_no_step)
{
    for (int k = 0; k < 5000; k++)
        x[k] = 13.2 + 0.05 * noise(k);
    CHECK_NEAR(resolution_find(x, 5000, 12, 1), 0, 0);
    for (int k = 0; k < 5000; k++)
        x[k] = NAN;
    CHECK_NEAR(resolution_find(x, 5000, 3, 1), 0, 0);
}
