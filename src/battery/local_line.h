/* Local line: a slowly varying signal at one instant, by a straight line through the readings around it.
 *
 * With four readings or more it is the least-squares line with the standard uncertainty of its
 * prediction there (JCGM 100:2008, H.3), from the scatter about the line itself or from the stated noise of
 * a reading, whichever is larger: a bend shows as scatter. With fewer readings it is the nearest of
 * them, with the noise of one and no slope of its own. */
#ifndef RUNDOWN_BATTERY_LOCAL_LINE_H
#define RUNDOWN_BATTERY_LOCAL_LINE_H

#include <stddef.h>

struct local_line {
    double value, u, dof;
    double slope;  /* a second; between the nearest two readings when there are fewer than four */
    size_t n;
};

/* Through readings first…last, first <= last, at at_s, which may lie outside. `noise` may be NaN. */
struct local_line local_line_at(const double *t_s, const double *y, size_t first, size_t last, double at_s,
                                double noise);

#endif
