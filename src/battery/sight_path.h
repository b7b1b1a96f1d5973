/* Path: what is known of the volts between two sights under one load.
 *
 * The path itself is not known; it lies between bounds:
 *   monotone   between the two volts seen, since volts fall under a load and rise under a charge
 *   recovery   after a heavier load volts may first come back as far as they stood before it
 *   bent down  on the way to empty, where volts fall ever more steeply: above the straight line between the
 *              two, below the lines carried on from the legs before and after. Taken so where the leg falls by
 *              KNEE_DROP, and more steeply than the one before, less steeply than the one after
 *   the end    from the last volts seen down to no less than LEAST_VOLTS of the highest; where they already
 *              fell from the plateau, above the straight line and at least as steeply as before
 *
 * What was left at the last reading: volts that bend down come to LEAST_VOLTS. Below the plateau of a lithium
 * iron phosphate cell the charge left falls at least e-fold with every KNEE_FOLD of volts, so that it is
 * at most Δq / (exp(Δv / fold) - 1), Δq having flowed while the volts fell by Δv. In the open 1C discharges of
 * a 26650 cell at 20 and 40 °C the fold is 0.17 to 0.21 V a cell.
 *
 * A slope is taken over as many readings as it needs to stand out of what their words leave open. */
#ifndef RUNDOWN_BATTERY_SIGHT_PATH_H
#define RUNDOWN_BATTERY_SIGHT_PATH_H

#include "battery/sight.h"

/* No pack gives up its load later than at this share of its highest volts under load: 2 V a lithium iron
 * phosphate cell. Common practice, no source. */
#define LEAST_VOLTS 0.6
#define KNEE_FOLD (0.25 / 3.2) /* of the plateau's volts */
#define KNEE_DROP 0.02 /* of the volts: beyond the shallow steps of the plateau. Common practice, no source */

/* Bounds of the mean of V^n along a leg; both NaN when no volts were read (and n is not 0). */
void sight_mean_power(const struct course *course, const struct leg *leg, double n, double *ret_lo,
                      double *ret_hi);

/* When, as a fraction of a leg between two nodes, its volts come down to `level`, which lies between them. */
void sight_fall(const struct course *course, const struct leg *leg, double level, double *ret_first, double *ret_last);

/* How long a leg that ends a discharge can have lasted, for what was left; INFINITY when the volts have not left the plateau, and for other legs. */
double sight_longest_s(const struct course *course, const struct leg *leg);

#endif
