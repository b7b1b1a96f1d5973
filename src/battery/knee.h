/* Knee: where the volts of a discharge leave the plateau.
 *
 * The point of the curve farthest above the chord from its beginning to its end, both axes scaled to 0…1
 * (Satopää, Albrecht, Irwin & Raghavan 2011, Finding a "kneedle" in a haystack, ICDCS Workshops,
 * doi:10.1109/ICDCSW.2011.20). The curve is the means of up to KNEE_POINTS equal pieces, from
 * KNEE_FROM of the time on, since a discharge begins with a bend of its own. A knee is sharp: a bend that
 * stands less than KNEE_SHARP over the chord (a parabola stands 0.25) or less than five standard
 * deviations of a reading is none, nor is one before a fall of less than KNEE_FALL (a lithium iron
 * phosphate cell steps from one plateau to another on its way). Bounds: no source. */
#ifndef RUNDOWN_BATTERY_KNEE_H
#define RUNDOWN_BATTERY_KNEE_H

#include <stdbool.h>
#include <stddef.h>

#define KNEE_FROM 0.1
#define KNEE_SHARP 0.3
#define KNEE_FALL 0.05
enum { KNEE_POINTS = 256 };

/* n readings under one load, in the order of time. `noise_v`: standard deviation of a reading. */
bool knee_find(const double *t_s, const double *v, size_t n, double noise_v, double *ret_knee_s);

#endif
