#include "check.h"

#include "base/memory.h"
#include "draw/decimate.h"

static unsigned long long seed = 7310042;

static double chance(void)
{
    seed = seed * 6364136223846793005ULL + 1442695040888963407ULL;
    return (double)(seed >> 11) * 0x1p-53;
}

/* A wandering line with uneven steps of x. */
static void wander(double *x, double *y, size_t count)
{
    double at = 0, value = 12.8;
    for (size_t k = 0; k < count; k++) {
        at += chance() < 0.03 ? 0 : chance();
        value += chance() - 0.5;
        x[k] = at;
        y[k] = value;
    }
}

/* Lowest and highest place of the line within [left, right]; a line is given as two arrays. */
static void extent(const double *x, const double *y, size_t count, double left, double right, double *ret_low,
                   double *ret_high)
{
    double low = INFINITY, high = -INFINITY;
    for (size_t k = 0; k < count; k++) {
        if (x[k] >= left && x[k] <= right) {
            low = fmin(low, y[k]);
            high = fmax(high, y[k]);
        }
        if (k == 0 || isnan(y[k]) || isnan(y[k - 1]))
            continue;
        for (int side = 0; side < 2; side++) {
            double at = side == 0 ? left : right;
            if (!(x[k - 1] < at && x[k] > at))
                continue;
            double value = y[k - 1] + (at - x[k - 1]) / (x[k] - x[k - 1]) * (y[k] - y[k - 1]);
            low = fmin(low, value);
            high = fmax(high, value);
        }
    }
    *ret_low = low;
    *ret_high = high;
}

static void same_columns(const double *x, const double *y, size_t count, double from, double to,
                         size_t columns)
{
    struct point *points = memory_get(decimate_limit(columns) * sizeof *points);
    size_t kept = decimate_line(x, y, count, from, to, columns, points);
    double *px = memory_get((kept + 1) * sizeof *px), *py = memory_get((kept + 1) * sizeof *py);
    CHECK(kept <= decimate_limit(columns));
    for (size_t k = 0; k < kept; k++) {
        px[k] = points[k].x;
        py[k] = points[k].y;
        CHECK(isnan(px[k]) || (px[k] >= from && px[k] <= to));
    }
    for (size_t c = 0; c < columns; c++) {
        double width = (to - from) / (double)columns, low[2], high[2];
        extent(x, y, count, from + width * (double)c, from + width * (double)(c + 1), &low[0], &high[0]);
        extent(px, py, kept, from + width * (double)c, from + width * (double)(c + 1), &low[1], &high[1]);
        CHECK((isinf(low[0]) && isinf(low[1])) || fabs(low[0] - low[1]) < 1e-9);
        CHECK((isinf(high[0]) && isinf(high[1])) || fabs(high[0] - high[1]) < 1e-9);
    }
    free(points);
    free(px);
    free(py);
}

TEST(covers_the_columns_that_the_whole_line_covers)
{
    static double x[10007], y[10007];
    wander(x, y, 10007);
    same_columns(x, y, 10007, 0, x[10006], 313);
    same_columns(x, y, 10007, 1234.5, 3456.7, 97);
    same_columns(x, y, 10007, -55.5, x[10006] + 80, 640);
    same_columns(x, y, 41, x[3] + 0.01, x[33] - 0.01, 1000);
    same_columns(x, y, 10007, 0, x[10006], 1);
}

TEST(ends_and_few_samples_are_exact)
{
    const double x[] = {0.25, 1.5, 2.75, 4}, y[] = {13.1, 12.9, 12.95, 10.4};
    struct point points[5 * 400 + 2];
    CHECK(decimate_line(x, y, 4, 0.25, 4, 400, points) == 4);
    for (int k = 0; k < 4; k++)
        CHECK(points[k].x == x[k] && points[k].y == y[k]);
    /* Cut where the line crosses the ends. */
    CHECK(decimate_line(x, y, 4, 1, 3.375, 400, points) == 4);
    CHECK_NEAR(points[0].x, 1, 0);
    CHECK_NEAR(points[0].y, 13.1 - 0.2 * 0.75 / 1.25, 1e-12);
    CHECK_NEAR(points[3].y, (12.95 + 10.4) / 2, 1e-12);
    /* The whole window between two samples. */
    CHECK(decimate_line(x, y, 4, 3, 3.5, 400, points) == 2);
    CHECK_NEAR(points[0].y, 12.95 - 2.55 * 0.2, 1e-12);
    CHECK_NEAR(points[1].y, 12.95 - 2.55 * 0.6, 1e-12);
    CHECK(decimate_line(x, y, 0, 0, 1, 400, points) == 0);
    CHECK(decimate_line(x, y, 4, 5, 6, 400, points) == 0);
    CHECK(decimate_line(x, y, 4, -2, 0, 400, points) == 0);
}

TEST(a_gap_breaks_the_line)
{
    const double x[] = {0, 1, 2, 3, 4, 5}, y[] = {1, 2, NAN, INFINITY, 3, 4};
    struct point points[5 * 60 + 2];
    CHECK(decimate_line(x, y, 6, 0, 5, 60, points) == 5);
    CHECK(points[1].x == 1 && isnan(points[2].x) && isnan(points[2].y) && points[3].x == 4);
    /* No line is drawn into the window out of a gap. */
    CHECK(decimate_line(x, y, 6, 2.5, 5, 60, points) == 2);
    CHECK(points[0].x == 4);
    CHECK(decimate_line(x, y, 6, 0, 2.5, 60, points) == 2);
    /* Both sides of the gap in one column of pixels: nothing to see. */
    CHECK(decimate_line(x, y, 6, 0, 5, 1, points) == 2);
    CHECK(points[0].x == 0 && points[1].x == 5);
}

TEST(no_input_overfills_the_room)
{
    static double x[5000], y[5000];
    const double odd[] = {NAN, INFINITY, -INFINITY};
    for (int round = 0; round < 200; round++) {
        size_t columns = 1 + (size_t)(chance() * 40);
        for (size_t k = 0; k < 5000; k++) {
            x[k] = chance() < 0.2 ? odd[k % 3] : 100 * chance(); /* falls and rises at will */
            y[k] = k % 2 == 0 ? chance() : odd[(k + 1) % 3];
        }
        struct point *points = memory_get((decimate_limit(columns) + 1) * sizeof *points);
        points[decimate_limit(columns)].x = 4711;
        CHECK(decimate_line(x, y, 5000, 20, 80, columns, points) <= decimate_limit(columns));
        CHECK(points[decimate_limit(columns)].x == 4711);
        free(points);
    }
}

TEST(edges_that_rounding_misses)
{
    static double x[4096], y[4096];
    for (size_t k = 0; k < 4096; k++) {
        x[k] = 0.1 + (double)k * 0.1; /* most samples fall on an edge, give or take the last digit */
        y[k] = chance();
    }
    same_columns(x, y, 4096, 0.1, x[4095], 4095);
    same_columns(x, y, 4096, 0.1, x[4095], 819);
}
