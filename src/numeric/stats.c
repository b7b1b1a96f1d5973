#include "numeric/stats.h"

#include "numeric/sum.h"

double stats_mean(const double *y, size_t n)
{
    if (n == 0)
        return NAN;
    struct sum sum = {0, 0};
    for (size_t k = 0; k < n; k++)
        sum_add(&sum, y[k]);
    return sum_value(sum) / (double)n;
}

double stats_sd(const double *y, size_t n)
{
    if (n < 2)
        return NAN;
    double mean = stats_mean(y, n);
    struct sum squares = {0, 0}, rest = {0, 0}; /* rest corrects for the rounding of the mean */
    for (size_t k = 0; k < n; k++) {
        double d = y[k] - mean;
        sum_add(&squares, d * d);
        sum_add(&rest, d);
    }
    double r = sum_value(rest);
    return sqrt((sum_value(squares) - r * r / (double)n) / (double)(n - 1));
}

double stats_lag1(const double *y, size_t n)
{
    if (n < 2)
        return NAN;
    double mean = stats_mean(y, n);
    struct sum products = {0, 0}, squares = {0, 0};
    for (size_t k = 0; k < n; k++) {
        double d = y[k] - mean;
        sum_add(&squares, d * d);
        if (k + 1 < n)
            sum_add(&products, d * (y[k + 1] - mean));
    }
    double s = sum_value(squares);
    return s > 0 ? sum_value(products) / s : NAN;
}

static void swap(double *a, double *b)
{
    double keep = *a;
    *a = *b;
    *b = keep;
}

/* Hoare's selection with a median-of-three pivot: afterwards nothing before a[rank] is larger, nothing
 * after it smaller. */
static double select_rank(double *a, size_t n, size_t rank)
{
    size_t low = 0, high = n - 1;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (a[middle] < a[low])
            swap(&a[middle], &a[low]);
        if (a[high] < a[low])
            swap(&a[high], &a[low]);
        if (a[high] < a[middle])
            swap(&a[high], &a[middle]);
        double pivot = a[middle];
        size_t i = low, j = high;
        while (i <= j) {
            while (a[i] < pivot)
                i++;
            while (pivot < a[j])
                j--;
            if (i > j)
                break;
            swap(&a[i++], &a[j]);
            if (j == 0)
                break;
            j--;
        }
        if (rank <= j)
            high = j;
        else if (rank >= i)
            low = i;
        else
            break;
    }
    return a[rank];
}

/* Median of scratch values, which are reordered. */
static double median_of(double *a, size_t n)
{
    double upper = select_rank(a, n, n / 2);
    if (n % 2 == 1)
        return upper;
    double lower = a[0];
    for (size_t k = 1; k < n / 2; k++)
        lower = a[k] > lower ? a[k] : lower;
    return lower + (upper - lower) / 2;
}

double stats_median(const double *y, size_t n, double *work)
{
    if (n == 0)
        return NAN;
    memcpy(work, y, n * sizeof *y);
    return median_of(work, n);
}

double stats_mad(const double *y, size_t n, double *work)
{
    double median = stats_median(y, n, work);
    for (size_t k = 0; k < n; k++)
        work[k] = fabs(y[k] - median);
    return n > 0 ? median_of(work, n) : NAN;
}

/* The median of sizes that fall on a lattice of the given pitch, as if spread evenly over their cell:
 * without this the scale of coarse readings would jump from step to step. */
static double grouped_median(double *size, size_t n, double pitch)
{
    double median = median_of(size, n);
    double low = fmax(median - pitch / 2, 0), high = median + pitch / 2;
    size_t below = 0, within = 0;
    for (size_t k = 0; k < n; k++) {
        below += size[k] < low;
        within += size[k] >= low && size[k] < high;
    }
    return within > 0 ? low + (high - low) * ((double)n / 2 - (double)below) / (double)within : median;
}

struct stats_noise stats_noise(const double *t, const double *y, size_t n, double *work)
{
    struct stats_noise noise = {NAN, NAN, false, 0};
    size_t equal = 0;
    for (size_t k = 1; k < n; k++) {
        double d = fabs(y[k] - y[k - 1]);
        if (d == 0)
            equal++;
        else if (!(d >= noise.step))
            noise.step = d;
    }
    noise.quantised = 2 * equal + 1 > n;
    noise.changes = n > 0 ? n - 1 - equal : 0;
    if (n < 3 || isnan(noise.step))
        return noise;
    size_t count = 0;
    double scale = sqrt(2.0 / 3.0);
    for (size_t k = 1; k + 1 < n; k++) {
        double before = t != NULL ? t[k] - t[k - 1] : 1, after = t != NULL ? t[k + 1] - t[k] : 1;
        if (!(before + after > 0))
            continue; /* three readings of one instant say nothing of a line */
        double a = after / (before + after), b = before / (before + after);
        work[count++] = fabs(y[k] - a * y[k - 1] - b * y[k + 1]) / sqrt(1 + a * a + b * b);
    }
    if (count == 0)
        return noise;
    noise.sd = STATS_MAD_TO_SD * grouped_median(work, count, noise.step / 2 * scale);
    if (noise.quantised)
        noise.sd = fmax(noise.sd, noise.step / sqrt(12));
    return noise;
}
