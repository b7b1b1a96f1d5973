/* Decimate: a long line thinned to what a picture can show.
 *
 * Of the samples that fall into one column of pixels the first, the lowest, the highest and the last
 * are kept, in their order (M4: Jugel, Jerzak, Hackenbroich and Markl, "M4: A Visualization-Oriented
 * Time Series Data Aggregation", PVLDB 7(10), 2014): the line through them covers the columns that the
 * line through all samples covers. No extreme is lost, nothing is averaged. */
#ifndef RUNDOWN_DRAW_DECIMATE_H
#define RUNDOWN_DRAW_DECIMATE_H

#include "draw/figure.h"

/* Room that decimate_line needs for this many columns. */
size_t decimate_limit(size_t columns);

/* Thins the line through (x, y) between `from` and `to` (from < to) to `columns` columns (1 or more);
 * x must not fall. At `from` and `to` the line is cut where it crosses them. Where y or x is not
 * finite the line breaks: a NaN point stands in the result, unless the gap lies within one column and
 * could not be seen. Returns the number of points, at most decimate_limit(columns). */
size_t decimate_line(const double *x, const double *y, size_t count, double from, double to, size_t columns,
                     struct point *ret_points);

#endif
