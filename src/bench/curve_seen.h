/* Curve seen: what the volts so far tell of the charge that is left: the plateau, the slope and the level. */
#ifndef RUNDOWN_BENCH_CURVE_SEEN_H
#define RUNDOWN_BENCH_CURVE_SEEN_H

#include "bench/remaining.h"
#include "bench/track.h"

/* After a step of the load the volts still creep for so long that their slope says nothing of the charge
 * (common practice, no source). */
#define CURVE_SETTLES_S 600.0

/* Fills all but rated_ah and gain_u. `cut_off_v`: of a cell. `ohm`: of the whole pack, to bring volts under
 * another load to the present one; NaN: they stay as they are. */
void curve_seen(const struct track *track, int cells, double cut_off_v, double ohm, struct remaining_seen *ret_seen);

#endif
