/* Local line: a slowly varying signal at one instant, by a straight line through readings around it.
 *
 * With four readings or more it is the least-squares line with the standard uncertainty of its prediction
 * there (JCGM 100:2008, H.3), from the stated noise of a reading, or from the scatter about the line itself
 * where that is larger than chance allows: a bend shows as scatter. With fewer readings it is the nearest of them,
 * with the noise of one. */
#ifndef RUNDOWN_BATTERY_LOCAL_LINE_H
#define RUNDOWN_BATTERY_LOCAL_LINE_H

#include <stdbool.h>
#include <stddef.h>

#define LOCAL_S 30.0 /* how far back the readings before a step say what it began from */

struct local_line {
    double value, u, dof;
    double slope;  /* a second; between the nearest two readings when there are fewer than four */
    size_t n;
    double slope_u; /* from noise alone */
    double seconds; /* from its first reading to its last */
};

/* Through readings first…last, first <= last, at at_s, which may lie outside. `noise` may be NaN. */
struct local_line local_line_at(const double *t_s, const double *y, size_t first, size_t last, double at_s,
                                double noise);

/* The first of the readings first…last, one stretch, that say what it was like at its end, and how it would go on
 * for `ahead_s`: those of the last LOCAL_S, or of four times as long as that if it is more, or of its last third
 * if that is shorter; but five of them if it has as many. */
size_t local_line_window(const double *t_s, size_t first, size_t last, double ahead_s);

/* Where channels are read one row apart, the volts of the last reading before a step may be those of
 * after it already: they depart from the line of the readings before by more than noise, towards reading
 * `after`, and by more than half of the way. `noise` includes the digits. */
bool local_line_overtaken(const double *t_s, const double *y, size_t first, size_t last, size_t after,
                          double noise);

#endif
