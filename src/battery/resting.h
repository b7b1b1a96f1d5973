/* Resting: how the volts settled in the rests of a log, by the fit of settle.h, with the voltmeter's own error.
 *
 * Settled volts say nothing of how full a lithium iron phosphate pack is, and the words say so. Where the terminals
 * were dark, or showed a charger that the board kept out, nothing settles that can be read. */
#ifndef RUNDOWN_BATTERY_RESTING_H
#define RUNDOWN_BATTERY_RESTING_H

#include "battery/settle.h"

struct asked;
struct basis;
struct findings;
struct rig;

struct resting {
    size_t run;                         /* of the rest; SIZE_MAX: of sightings, which make no run of it */
    double from_s;
    bool after_charge, after_discharge; /* neither: the readings begin with it */
    struct settling settling;           /* settled_v closed, the voltmeter's gain and offset in it */
    char words[400];                    /* settled at …, or how much longer to wait */
};

#define RESTS_LEAST_S 60.0 /* less is a pause between two loads */
enum { RESTINGS = 32 };
/* One a rest of RESTS_LEAST_S and more, in the order of time; returns how many. */
size_t resting_find(const struct basis *basis, const struct asked *asked, const struct findings *findings,
                    struct resting ret_resting[static RESTINGS]);

/* The same of readings however they were had: t_s counts from the moment the current stopped. Fills settling and words. */
void resting_of(const double *t_s, const double *v, size_t count, const struct rig *rig, double digit_v,
                const struct asked *asked, struct resting *resting);

#endif
