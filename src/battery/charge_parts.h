/* Charge parts: where in the readings of one charge the current was held, and where the volts were.
 *
 * The constant current is the level at which most of the charge went in: within LEVEL_BAND of it, for most of the time
 * between its first and its last reading, and with no trend there. The volts are held where they stay within
 * HELD_SHARE of the highest while the current dies away to TAPERED of what it was: as far as a charger holds them at
 * its own terminals, those of the sample rise by what its leads lose less and less. Volts that a rising charge reaches
 * at full current are not held. The highest current held is the highest that flowed for HELD_LEAST_S in all, over its
 * longest stretch. All shares: common practice, no source.
 *
 * Works on a few readings by eye as well as on a log. Volts or amps that are NaN are passed over. */
#ifndef RUNDOWN_BATTERY_CHARGE_PARTS_H
#define RUNDOWN_BATTERY_CHARGE_PARTS_H

#include <stdbool.h>
#include <stddef.h>

#define LEVEL_BAND 0.04
#define HELD_SHARE 0.01
#define TAPERED 0.9
#define HELD_LEAST_S 60.0

/* Readings of one charge in the order of time; amps as everywhere, negative while they go in. */
struct charge_readings {
    const double *t_s, *v, *a;
    size_t count;
    bool by_eye; /* one reading may then stand for a part: whoever reads a meter waits until it stands still */
};

/* A stretch of readings, both ends included, with the mean current of them, positive; of a tail that at its end, with
 * the standard uncertainty of the line that leads there in the place of the scatter. */
struct charge_stretch {
    bool found;
    size_t first, last;
    double a, a_scatter; /* standard deviation of its readings; NaN of one reading */
    double a_dof;        /* of a tail's line; 0: there is none */
    double unseen_a;     /* of a tail: by how much it may have died away between its last reading and the next */
};

struct charge_parts {
    struct charge_stretch level; /* at constant current */
    struct charge_stretch held;  /* at constant volts: a is that of its end, over `tail` */
    struct charge_stretch tail;  /* the last few readings of the held part, else of the charge */
    struct charge_stretch highest;
    double held_v;               /* median of the held part's end; NaN */
    double top_v;                /* NaN without volts */
};

void charge_parts_find(const struct charge_readings *readings, struct charge_parts *ret_parts);

#endif
