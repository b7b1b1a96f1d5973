/* Replay: a stored run speaks again, as an instrument would, at the pace of the bench's clock.
 *
 *     [replay]
 *     driver = replay
 *     address = workshop.book:12        run 12 of that book
 *     stream = shunt meter              one of its instruments; may be left away where there is only one
 *     voltage from = voltage            the name of a column
 *     current from = column 2           or its place
 *     time from = time                  its stamps, kept to the digit; else the bench's clock stamps
 *
 * `rehearsal rate = 600` above the sections lets the whole bench run so much faster. Every digit comes as it was
 * stored; a column whose unit is not a power of ten away from the link's is a fault that names the unit. A gap of
 * the run is silence; its end is the end of what there is to say. */
#ifndef RUNDOWN_BENCH_REPLAY_H
#define RUNDOWN_BENCH_REPLAY_H

#include "instrument/driver.h"

extern const struct driver driver_replay;

#endif
