#include "intake/resolution.h"

enum { SAMPLE = 4096, DUMP_DIGITS = 7 };

static int by_size(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* Values of a sample, sorted, each once. Returns how many differ. */
static size_t levels_of(const double *x, size_t count, double factor, double *levels, size_t *ret_seen)
{
    size_t seen = 0, stride = count / SAMPLE + 1;
    for (size_t k = 0; k < count && seen < SAMPLE; k += stride)
        if (isfinite(x[k]))
            levels[seen++] = x[k] / factor;
    qsort(levels, seen, sizeof *levels, by_size);
    size_t different = 0;
    for (size_t k = 0; k < seen; k++)
        if (different == 0 || levels[k] != levels[different - 1])
            levels[different++] = levels[k];
    *ret_seen = seen;
    return different;
}

/* The fewest decimals that write every level; at most `typed`. */
static int decimals_used(const double *levels, size_t count, int typed)
{
    int decimals = 0;
    for (size_t k = 0; k < count; k++) {
        while (decimals < typed) {
            double scaled = levels[k] * pow(10, decimals);
            if (fabs(scaled - round(scaled)) <= 1e-9 * fmax(1, fabs(scaled)))
                break;
            decimals++;
        }
    }
    return decimals;
}

double resolution_find(const double *x, size_t count, int typed, double factor)
{
    static const size_t few = 30; /* below, zeros at the end may be chance */
    double levels[SAMPLE];
    size_t seen, different = levels_of(x, count, factor, levels, &seen);
    if (seen == 0)
        return 0;
    int decimals = different >= few ? decimals_used(levels, different, typed) : typed;
    double largest = fmax(fabs(levels[0]), fabs(levels[different - 1]));
    int whole = largest >= 1 ? (int)floor(log10(largest)) + 1 : 0;
    if (decimals + whole <= DUMP_DIGITS)
        return pow(10, -decimals) * fabs(factor);
    double step = INFINITY;
    for (size_t k = 1; k < different; k++)
        step = fmin(step, levels[k] - levels[k - 1]);
    return 4 * different <= seen && isfinite(step) ? step * fabs(factor) : 0;
}
