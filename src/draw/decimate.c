#include "draw/decimate.h"

#include <stdint.h>

#define NONE SIZE_MAX

struct thinning {
    const double *x, *y;
    struct point *points;
    size_t count;
    size_t last; /* the last sample taken */
};

size_t decimate_limit(size_t columns)
{
    return 5 * columns + 2; /* four points and a break each, and the two cut ends */
}

static void keep(struct thinning *thinning, size_t sample)
{
    thinning->points[thinning->count++] = (struct point){thinning->x[sample], thinning->y[sample]};
}

static void cut(struct thinning *thinning, size_t before, size_t after, double at)
{
    double share = (at - thinning->x[before]) / (thinning->x[after] - thinning->x[before]);
    double y = thinning->y[before] + share * (thinning->y[after] - thinning->y[before]);
    thinning->points[thinning->count++] = (struct point){at, y};
}

static bool is_known(double value)
{
    return value - value == 0;
}

/* First finite sample at or beyond `from`, with the cut there if the line comes in from before. */
static size_t enter(struct thinning *thinning, size_t count, double from, double to)
{
    const double *x = thinning->x, *y = thinning->y;
    size_t before = NONE;
    for (size_t k = 0; k < count; k++) {
        if (!is_known(x[k]) || !is_known(y[k])) {
            before = NONE;
        } else if (x[k] < from) {
            before = k;
        } else {
            if (before != NONE && x[k] > from)
                cut(thinning, before, k, from);
            if (before != NONE && x[k] > to)
                cut(thinning, before, k, to);
            return k;
        }
    }
    return count;
}

/* The column a place falls into, and in any case a later one than before: rounding at an edge must
 * not open a column twice, since the room for the result rests on that. */
static size_t later_column(size_t column, double place, size_t columns)
{
    size_t wanted = place < (double)columns ? (size_t)place + 1 : columns;
    return wanted > column ? wanted : column + 1;
}

/* Goes on from the finite sample `first` through those left of `edge`; returns the first finite one
 * that is not. */
static size_t take_column(struct thinning *thinning, size_t first, size_t count, double edge)
{
    const double *x = thinning->x, *y = thinning->y;
    size_t low = first, high = first, last = first, k = first + 1;
    double lowest = y[first], highest = y[first];
    for (; k < count; k++) {
        double value = y[k];
        if (!is_known(value) || !is_known(x[k]))
            continue;
        if (x[k] >= edge)
            break;
        last = k;
        if (value < lowest) {
            lowest = value;
            low = k;
        } else if (value > highest) {
            highest = value;
            high = k;
        }
    }
    keep(thinning, first);
    size_t early = low < high ? low : high, late = low < high ? high : low;
    if (early != first)
        keep(thinning, early);
    if (late != early)
        keep(thinning, late);
    if (last != late)
        keep(thinning, last);
    thinning->last = last;
    return k;
}

/* Samples of a line without gaps are numbered one by one, so the numbers alone tell where it breaks. */
size_t decimate_line(const double *x, const double *y, size_t count, double from, double to, size_t columns,
                     struct point *ret_points)
{
    struct thinning thinning = {.x = x, .y = y, .points = ret_points};
    double width = (to - from) / (double)columns;
    size_t column = 0; /* from 1 */
    size_t k = enter(&thinning, count, from, to);
    while (k < count) {
        bool joined = column > 0 && thinning.last + 1 == k;
        if (x[k] > to) {
            if (joined && x[thinning.last] < to)
                cut(&thinning, thinning.last, k, to);
            break;
        }
        if (column > 0 && !joined)
            thinning.points[thinning.count++] = (struct point){NAN, NAN};
        column = later_column(column, (x[k] - from) / width, columns);
        double edge = column < columns ? from + (double)column * width : nextafter(to, INFINITY);
        k = take_column(&thinning, k, count, edge);
    }
    return thinning.count;
}
