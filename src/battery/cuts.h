/* Cuts: where the current steps from one level to another.
 *
 * Where the current changes between two readings by more than a threshold (or, when readings come
 * faster than ABRUPT_S, within that time) something may have happened. It is a step when the medians of
 * a few readings on either side differ by more than the threshold and by more than the drift of those
 * readings explains: two robust one-sided windows (Fried 2007, Comput. Stat. Data Anal. 52:1063), so
 * that neither the creep of a constant-power load, nor its knee, nor a one-reading glitch is a step. A
 * single reading above its load with which the run ends is no glitch: a load that the BMS cut off at once.
 * Readings amid a change belong to the level they are nearer to. A change that takes longer than
 * TRANSITION_S and TRANSITION_READINGS is drift. */
#ifndef RUNDOWN_BATTERY_CUTS_H
#define RUNDOWN_BATTERY_CUTS_H

#include "battery/envelope.h"
#include "quantity/series.h"

#define ABRUPT_S 1.0
#define TRANSITION_S 30.0 /* a soft start; common practice, no source */
enum { TRANSITION_READINGS = 3 };

/* The level beside an edge. */
struct edge {
    double level_a; /* median of the readings nearest to it */
    double drift_a; /* a reading; the oddest of them does not count */
    double depth;   /* of the middle of these readings from the edge, in readings */
};

/* Readings first…last; those from steady_first to steady_last are at the piece's own level, the others amid a
 * change. */
struct cut_piece {
    size_t first, last, steady_first, steady_last;
    bool moving; /* at no level; never set in what cuts_find returns */
};

/* Is there a step from one piece to the next? With the levels on either side of it. */
bool cuts_step_between(const struct trace *trace, const struct cut_piece *one, const struct cut_piece *two,
                       double threshold_a, struct edge *ret_before, struct edge *ret_after);

/* Cuts the readings first…last at their steps. *ret_pieces is freed by the caller. Returns their
 * number, at least 1, or 0 once more than `most` places might be steps. */
size_t cuts_find(const struct trace *trace, const struct envelope *envelope, size_t first, size_t last,
                 double threshold_a, size_t most, struct cut_piece **ret_pieces);

#endif
