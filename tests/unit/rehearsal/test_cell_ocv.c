#include "check.h"

#include "rehearsal/invented.h"

/* Values computed from the published curve (Afshar 2017, arXiv:1709.03970) outside this program. */
TEST(follows_the_published_positive_electrode)
{
    const double known[][2] = {{0.01, 3.519062}, {0.1, 3.405673},  {0.25, 3.402633},
                               {0.5, 3.397565},  {0.75, 3.392000}, {0.9, 3.344650},
                               {0.95, 3.187627}, {0.99, 2.720897}, {1.0, 2.487431}};
    for (size_t i = 0; i < sizeof known / sizeof *known; i++)
        CHECK_NEAR(cell_positive_v(known[i][0]), known[i][1], 6e-7);
}

/* Far inside the flat ends each tanh is 1 or -1, which leaves the sums of the printed constants. */
TEST(follows_the_published_negative_electrode)
{
    CHECK_NEAR(cell_negative_v(1.6), 0.2482 - 0.0909 - 0.04478 - 0.0205, 1e-9);
    /* x = 0.1234: the first tanh is nought; exp(-4.85741) and tanh(2.28959) computed outside. */
    CHECK_NEAR(cell_negative_v(0.1234), 1.9793 * 0.00777061 + 0.2482 + 0.04478 * 0.97968194 + 0.0205, 3e-8);
}

TEST(table_holds_the_curve)
{
    static struct cell_ocv ocv;
    invented_ocv(&ocv);
    struct cell_window w = CELL_WINDOW_INVENTED;
    for (double s = 0.00037; s < 1; s += 0.01093) {
        double curve = cell_positive_v(w.y_empty + (w.y_full - w.y_empty) * s) -
                       cell_negative_v(w.x_empty + (w.x_full - w.x_empty) * s);
        struct cell_point point = cell_ocv_at(&ocv, s);
        CHECK_NEAR(point.v, curve, 3e-4);
        double around = cell_ocv_at(&ocv, s + 1e-5).v - cell_ocv_at(&ocv, s - 1e-5).v;
        CHECK_NEAR(point.slope_v, around / 2e-5, 0.05 + 0.05 * point.slope_v);
        CHECK(point.slope_v > 0);
    }
    /* Usual limits of a cell (check of size; common practice): about 2.5 V empty, 3.2 V on the way. */
    CHECK_NEAR(cell_ocv_at(&ocv, 0).v, 2.45, 0.1);
    CHECK_NEAR(cell_ocv_at(&ocv, 0.5).v, 3.26, 0.02);
    CHECK_NEAR(cell_ocv_at(&ocv, 1).v, 3.4, 0.01);
}

TEST(voltage_says_little_on_the_plateau)
{
    static struct cell_ocv ocv;
    invented_ocv(&ocv);
    CHECK(cell_ocv_at(&ocv, 0.65).v - cell_ocv_at(&ocv, 0.45).v < 0.012);
}

TEST(stored_is_the_integral)
{
    static struct cell_ocv ocv;
    invented_ocv(&ocv);
    double sum = 0, step = 1e-5;
    for (int i = 0; i < 100000; i++)
        sum += cell_ocv_at(&ocv, (i + 0.5) * step).v * step;
    CHECK_NEAR(cell_ocv_stored_v(&ocv, 1), sum, 1e-7);
    CHECK_NEAR(cell_ocv_stored_v(&ocv, 0.731) - cell_ocv_stored_v(&ocv, 0.7302),
               0.0008 * cell_ocv_at(&ocv, 0.7306).v, 1e-7);
    CHECK_NEAR(cell_ocv_stored_v(&ocv, -0.01), -0.01 * cell_ocv_at(&ocv, -0.005).v, 1e-9);
}

TEST(resists_more_near_empty)
{
    static struct cell_ocv ocv;
    invented_ocv(&ocv);
    CHECK_NEAR(cell_ocv_at(&ocv, 0).thicker, 3, 1e-9);
    CHECK_NEAR(cell_ocv_at(&ocv, 0.03).thicker, 1 + 2 * exp(-1), 1e-3);
    CHECK_NEAR(cell_ocv_at(&ocv, 0.6).thicker, 1, 1e-8);
}

TEST(resistance_grows_towards_full_where_asked)
{
    static struct cell_ocv plain, ocv;
    invented_ocv(&plain);
    ocv = plain;
    cell_ocv_thicken_full(&ocv, 20, 0.02);
    CHECK_NEAR(cell_ocv_at(&ocv, 1).thicker - cell_ocv_at(&plain, 1).thicker, 19, 1e-9);
    CHECK_NEAR(cell_ocv_at(&ocv, 0.9).thicker - cell_ocv_at(&plain, 0.9).thicker, 19 * exp(-5), 0.01);
    CHECK_NEAR(cell_ocv_at(&ocv, 0.3).thicker, cell_ocv_at(&plain, 0.3).thicker, 1e-9);
    CHECK_NEAR(cell_ocv_at(&ocv, 0.95).v, cell_ocv_at(&plain, 0.95).v, 0);
}
