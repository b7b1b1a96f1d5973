/* Plot: the frame of a curve and the curve. Hairlines for the upright scale, its unit above them,
 * numbers below, and no box. */
#ifndef RUNDOWN_DRAW_PLOT_H
#define RUNDOWN_DRAW_PLOT_H

#include "draw/figure.h"
#include "draw/scale.h"

/* Leave some 46 units to the left of x.start, 30 below y.start and 26 above y.end for words. */
struct plot {
    struct scale x, y; /* y.start is the lower edge, y.end the upper one */
    const char *x_unit, *y_unit;
    bool x_is_time; /* in seconds; labels h:mm */
    bool x_bare;    /* no numbers along x: another frame below carries them */
};

void plot_frame(struct figure *figure, const struct plot *plot);

/* The line through (x, y), thinned to the pixels it covers; x must not fall. Points outside the frame
 * sideways are cut off, NaN breaks the line. */
void plot_series(struct figure *figure, const struct plot *plot, const double *x, const double *y,
                 size_t count, struct stroke stroke);

/* A tint over the whole height between two values of x. */
void plot_band(struct figure *figure, const struct plot *plot, double from, double to);

#endif
