/* A whole rehearsal: a script played through, its truth, and what each meter of the bench showed of it.
 *
 * Everything is known before the first row is served: the same script and seed give the same rows, however
 * fast they are played and whoever listens. */
#ifndef RUNDOWN_REHEARSAL_REHEARSAL_H
#define RUNDOWN_REHEARSAL_REHEARSAL_H

#include "rehearsal/script.h"

struct rehearsal {
    const struct script *script; /* borrowed */
    struct cell_ocv ocv;
    struct pack_make make;
    struct pack fresh, left; /* before and after */
    struct truth truth;
    struct burst_cost costs[TRUTH_MOST_SEGMENTS];        /* of the bursts */
    double shown_ohm[TRUTH_MOST_SEGMENTS][TRUTH_DELAYS]; /* of the steps that begin a segment */
    struct instrument meters[METERS];
    struct shown shown[METERS];
};

/* A burst's cost is taken to so long after its end. */
extern const double rehearsal_recovery_s;

struct rehearsal *rehearsal_new(const struct script *script); /* never NULL */
void rehearsal_free(struct rehearsal *rehearsal);             /* NULL is fine */

/* Longest that a program may last. */
extern const double rehearsal_limit_s;

#endif
