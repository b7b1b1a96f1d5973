#include "numeric/integrate.h"

#include "numeric/block.h"
#include "numeric/sum.h"

/* Twice the trapezia of up to BLOCK intervals. */
static double block_linear(const double *restrict t, const double *restrict y, size_t count)
{
    double term[BLOCK];
    for (size_t k = 0; k < count; k++)
        term[k] = (t[k + 1] - t[k]) * (y[k] + y[k + 1]);
    return block_fold(term, count);
}

/* Six times the integral of the product: 2ab + 2cd + ad + bc = (a + c)(b + d) + ab + cd. */
static double block_product(const double *restrict t, const double *restrict a, const double *restrict b,
                            size_t count)
{
    double term[BLOCK];
    for (size_t k = 0; k < count; k++)
        term[k] =
            (t[k + 1] - t[k]) * ((a[k] + a[k + 1]) * (b[k] + b[k + 1]) + a[k] * b[k] + a[k + 1] * b[k + 1]);
    return block_fold(term, count);
}

double integrate_linear(const double *t_s, const double *y, size_t n)
{
    struct sum sum = {0, 0};
    for (size_t k = 0; k + 1 < n; k += BLOCK)
        sum_add(&sum, block_linear(t_s + k, y + k, block_size(n - 1 - k)));
    return sum_value(sum) / 2;
}

double integrate_product(const double *t_s, const double *a, const double *b, size_t n)
{
    struct sum sum = {0, 0};
    for (size_t k = 0; k + 1 < n; k += BLOCK)
        sum_add(&sum, block_product(t_s + k, a + k, b + k, block_size(n - 1 - k)));
    return sum_value(sum) / 6;
}

void integrate_both(const double *t_s, const double *a, const double *b, size_t n, double ret[2])
{
    struct sum one = {0, 0}, two = {0, 0};
    for (size_t k = 0; k + 1 < n; k += BLOCK) { /* the second walk over a block is out of the cache */
        sum_add(&one, block_linear(t_s + k, a + k, block_size(n - 1 - k)));
        sum_add(&two, block_product(t_s + k, a + k, b + k, block_size(n - 1 - k)));
    }
    ret[0] = sum_value(one) / 2;
    ret[1] = sum_value(two) / 6;
}

bool place_at(const double *t_s, size_t n, double time_s, struct place *ret_place)
{
    if (n == 0 || !(time_s >= t_s[0] && time_s <= t_s[n - 1]))
        return false;
    size_t low = 0, high = n; /* t[low] <= time < t[high] */
    while (high - low > 1) {
        size_t middle = low + (high - low) / 2;
        if (t_s[middle] <= time_s)
            low = middle;
        else
            high = middle;
    }
    double width = high < n ? t_s[high] - t_s[low] : 0;
    *ret_place = (struct place){low, width > 0 ? (time_s - t_s[low]) / width : 0};
    return true;
}

bool place_falls_to(const double *y, size_t n, double level, struct place *ret_place)
{
    for (size_t k = 0; k < n; k++)
        if (y[k] <= level) {
            *ret_place =
                k == 0 ? (struct place){0, 0} : (struct place){k - 1, (y[k - 1] - level) / (y[k - 1] - y[k])};
            return true;
        }
    return false;
}

double place_value(const double *y, size_t n, struct place place)
{
    size_t next = place.k + 1 < n ? place.k + 1 : place.k;
    return y[place.k] + place.fraction * (y[next] - y[place.k]);
}

/* Integral over the first `fraction` of the interval after reading k. */
static double partial(const double *t, const double *a, const double *b, size_t n, struct place end)
{
    if (end.fraction == 0 || end.k + 1 >= n)
        return 0;
    double h = end.fraction * (t[end.k + 1] - t[end.k]);
    double a0 = a[end.k], a1 = place_value(a, n, end);
    if (b == NULL)
        return h * (a0 + a1) / 2;
    double b0 = b[end.k], b1 = place_value(b, n, end);
    return h * ((a0 + a1) * (b0 + b1) + a0 * b0 + a1 * b1) / 6;
}

static double whole(const double *t, const double *a, const double *b, size_t n)
{
    return b == NULL ? integrate_linear(t, a, n) : integrate_product(t, a, b, n);
}

double integrate_between(const double *t_s, const double *a, const double *b, size_t n, struct place from,
                         struct place to)
{
    if (from.k > to.k)
        return -integrate_between(t_s, a, b, n, to, from);
    double between = whole(t_s + from.k, a + from.k, b != NULL ? b + from.k : NULL, to.k - from.k + 1);
    return between + partial(t_s, a, b, n, to) - partial(t_s, a, b, n, from);
}

/* Where in interval k the partial integral comes to `rest`, by halving: the signal may change sign
 * within, but the integral is below at the start and not at the end, so there is such a place. */
static double reached_fraction(const double *t, const double *a, const double *b, size_t n, size_t k,
                               double rest)
{
    double low = 0, high = 1;
    for (;;) {
        double middle = low + (high - low) / 2;
        if (middle <= low || middle >= high)
            return high;
        if (partial(t, a, b, n, (struct place){k, middle}) < rest)
            low = middle;
        else
            high = middle;
    }
}

bool place_reaches(const double *t_s, const double *a, const double *b, size_t n, double target,
                   struct place *ret_place)
{
    if (n > 0 && target <= 0) {
        *ret_place = (struct place){0, 0};
        return true;
    }
    struct sum sum = {0, 0};
    for (size_t k = 0; k + 1 < n; k++) {
        double before = sum_value(sum);
        sum_add(&sum, partial(t_s, a, b, n, (struct place){k, 1}));
        if (sum_value(sum) >= target) {
            *ret_place = (struct place){k, reached_fraction(t_s, a, b, n, k, target - before)};
            return true;
        }
    }
    return false;
}
