/* Sightings: readings taken by eye, from a meter or from film.
 *
 * One instant holds whatever was read then. A value is kept as what its words allow: bounds. Typed
 * `12.91 V` allows 12.905 to 12.915; `~24 A`, `>55 A`, `60..62 Ah` allow more. The meter's own error
 * comes on top and is not in these bounds. Two readings of one quantity at one instant are both kept. */
#ifndef RUNDOWN_QUANTITY_SIGHTINGS_H
#define RUNDOWN_QUANTITY_SIGHTINGS_H

#include "base/notices.h"
#include "quantity/channel.h"

/* How a value was had; each widens its uncertainty (see intake/readings.h for the factors). */
enum had { HAD_SEEN, HAD_FILMED, HAD_PRINTED, HAD_REMEMBERED, HAD_INFERRED, HADS };

struct sighted {
    enum channel channel;
    double value;  /* middle of the bounds, or the number typed; NaN for a one-sided bound */
    double lo, hi; /* -INFINITY or INFINITY where open */
    double digit;  /* one step of the last digit typed, own unit */
    enum had had;
    bool hedged;   /* ~, a range, or a bound */
    long column;   /* in its line, from 1 */
};

struct instant {
    long line;
    double t_s;           /* from the first timed instant of its clip, or of the run once tied; never
                             decreases there; NaN: order only */
    double halfwidth_s;   /* what the typed time allows: half a frame, half a second, … */
    int clip;             /* instants of different clips share no clock unless `tied` */
    struct sighted *values;
    size_t count;
    char *words;          /* the mark, "" when none */
};

enum load_law { LOAD_UNKNOWN, LOAD_POWER, LOAD_CURRENT, LOAD_RESISTANCE };

struct sightings {
    struct instant *instants; /* in the order typed, which is the order of time */
    size_t count, capacity;
    int clips;
    bool tied;            /* every clip's start is known: all t_s are on one clock */
    enum load_law law;    /* as stated in the file; LOAD_UNKNOWN: find it from the readings */
    int direction;        /* +1 discharge, -1 charge, 0 not stated */
    double start_utc_s;   /* of t_s = 0; NaN unknown */
    bool zone_known;      /* start_utc_s is UTC, not merely some local clock */
    char title[128];
    bool invented;        /* the file says that its data are invented */
};

void sightings_free(struct sightings *sightings);
void instant_free(struct instant *instant); /* what it owns */
const char *had_name(enum had had); /* "seen", "filmed", "printed", "remembered", "inferred" */

#endif
