/* The load so far: its law and ripple by battery/load_law.h and battery/ripple.h from the points of a track,
 * and what the coming load is taken to be. */
#ifndef RUNDOWN_BENCH_LOAD_SO_FAR_H
#define RUNDOWN_BENCH_LOAD_SO_FAR_H

#include "battery/findings.h"
#include "bench/track.h"

struct load_so_far {
    struct load_finding load;
    struct ripple ripple;
    double ohm; /* by the steps; NaN none */
};

struct load_room; /* to work in */
struct load_room *load_room_new(void);
void load_room_free(struct load_room *room);

void load_so_far(const struct track *track, struct load_room *room, struct load_so_far *ret_load);

#endif
