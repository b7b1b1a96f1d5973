/* The tallies of sights: over which stretches a meter's own total can be trusted to have counted.
 *
 * A chain is a sequence of nodes with a tally that keeps going one way. It breaks where the tally jumps
 * back (a meter that started again) and where it stands still although charge flowed (a meter that was
 * cut off). What lies outside the chains is carried by the load law. */
#ifndef RUNDOWN_BATTERY_SIGHT_TALLY_H
#define RUNDOWN_BATTERY_SIGHT_TALLY_H

#include "battery/sight.h"

enum { CHAINS = 16 };

struct chain {
    size_t from, to;    /* nodes */
    double gain;        /* Ah or Wh, positive */
    double from_half, to_half;
    bool hedged;        /* one of the ends was not plainly read */
};

/* The chains of a tally along a stretch of legs, and the legs that lie within one. */
struct chains {
    struct chain chain[CHAINS]; /* what is beyond is left to the load law */
    size_t count;
    bool *in; /* of all the course's legs */
};

/* Along legs first…end - 1, from the nodes at and between their ends; `plain` leaves out what was hedged or
 * remembered. */
struct chains sight_chains(const struct course *course, enum channel tally, size_t first, size_t end, bool plain);
void chains_free(struct chains *chains);

/* Whether the tally stood still or started again where the sample went dark, and when; for tally_check. */
void sight_tally_events(const struct course *course, enum channel tally, struct tally_check *check);

#endif
