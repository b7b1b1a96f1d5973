#include "numeric/integrate.h"

#include "numeric/block.h"
#include "numeric/sum.h"

/* Triangles of `count` readings from the second on, into area[], and into bend[] times the Richardson
 * factor (h1^2 - h1 h2 + h2^2) / (3 h1 h2), which is 1/3 for even spacing and is held to 1. */
static void make_triangles(const double *restrict t, const double *restrict y, size_t count,
                           double *restrict area, double *restrict bend)
{
    for (size_t k = 0; k < count; k++) {
        double h1 = t[k + 1] - t[k], h2 = t[k + 2] - t[k + 1];
        double full = 3 * h1 * h2, part = h1 * h1 - h1 * h2 + h2 * h2;
        area[k] = (h2 * (y[k + 1] - y[k]) + h1 * (y[k + 1] - y[k + 2])) / 2;
        bend[k] = area[k] * (part < full ? part / full : 1);
    }
}

/* Sum of the squared differences of neighbours, from area[0] (the last of the block before) on. */
static double squared_differences(const double *restrict area, size_t count)
{
    double square[BLOCK];
    for (size_t k = 0; k < count; k++)
        square[k] = (area[k + 1] - area[k]) * (area[k + 1] - area[k]);
    return block_fold(square, count);
}

/* Degrees of freedom of the mean square of the differences of neighbouring triangles, which for
 * independent readings are themselves correlated: -3/4, 3/10 and -1/20 over one, two and three places
 * (Box 1954, Ann. Math. Stat. 25:290: the square of the mean over the mean of the squares). */
static double difference_dof(double pairs)
{
    static const double correlation[] = {1, -0.75, 0.3, -0.05};
    double below = pairs;
    for (int lag = 1; lag < 4 && lag < pairs; lag++)
        below += 2 * (pairs - lag) * correlation[lag] * correlation[lag];
    return pairs * pairs / below;
}

struct sampling integrate_sampling_u(const double *t_s, const double *a, const double *b, size_t n)
{
    if (n < 3)
        return (struct sampling){NAN, NAN, NAN, NAN};
    struct sum curvature = {0, 0}, squares = {0, 0};
    double product[BLOCK + 2], area[BLOCK + 1] = {0}, bend[BLOCK];
    for (size_t k = 0; k + 2 < n; k += BLOCK) {
        size_t count = block_size(n - 2 - k);
        const double *y = a + k;
        if (b != NULL) {
            for (size_t j = 0; j < count + 2; j++)
                product[j] = a[k + j] * b[k + j];
            y = product;
        }
        make_triangles(t_s + k, y, count, area + 1, bend);
        if (k == 0)
            area[0] = area[1]; /* before the first there is none to compare with */
        sum_add(&squares, squared_differences(area, count));
        sum_add(&curvature, block_fold(bend, count));
        area[0] = area[count];
    }
    /* For even spacing h and noise s a triangle has the variance 1.5 h^2 s^2, and the difference of two
     * neighbours 5 h^2 s^2, where the integral gains h^2 s^2 with every interval. */
    double intervals = (double)n - 1, pairs = (double)n - 3;
    double variance = n > 3 ? sum_value(squares) / (5 * pairs) : area[0] * area[0] / 1.5;
    /* Every interval lies under two triangles, but the first and the last under one. */
    double length = t_s[n - 1] - t_s[0], covered = t_s[n - 2] - t_s[0] + t_s[n - 1] - t_s[1];
    struct sampling result = {.scatter = sqrt(variance * intervals)};
    result.scatter_dof = n > 3 ? difference_dof(pairs) : 1;
    result.curvature = covered > 0 ? fabs(sum_value(curvature)) * length / covered : 0;
    result.u = hypot(result.curvature, result.scatter);
    return result;
}
