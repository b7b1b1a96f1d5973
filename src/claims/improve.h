/* Improve: which part of a rig is worth improving, told before the test.
 *
 * The plan is made again with one part of the rig at a time half as uncertain, and once without any error of its
 * own: how much narrower the expected intervals become is what a better instrument would bring. Nothing is
 * linearised, so that parts that hide behind each other (JCGM 101: a sum of bounds) do so here too. */
#ifndef RUNDOWN_CLAIMS_IMPROVE_H
#define RUNDOWN_CLAIMS_IMPROVE_H

#include "claims/plan.h"

enum improvable {
    IMPROVE_VOLTAGE, /* the volts' meter: gain, offset and digits */
    IMPROVE_CURRENT, /* the amps' meter, likewise */
    IMPROVE_SHUNT,
    IMPROVE_CLOCK,
    IMPROVE_RIPPLE,  /* not stated: stating it is all that can be done */
    IMPROVABLES
};
const char *improvable_name(enum improvable what); /* "voltage", "shunt", … */

struct improvement {
    enum improvable what;
    struct plan halved, ideal;    /* the same plan with it so; `halved` has no prospects where halving means nothing */
    double halved_brings;         /* share of the half-widths that goes, mean over the claims that have one; NaN likewise */
    double ideal_brings;
    size_t settles;               /* claims that can be decided with it ideal and cannot as things are */
    bool stated;                  /* false: the wide default stands, and stating the accuracy may do it */
};

struct improvements {
    struct improvement items[IMPROVABLES];
    size_t count; /* those that bring anything, most first: by what halving brings; an unstated ripple by its being stated */
};

/* `now`: the plan of the same label, rig and loads. */
void improve(const struct label *label, const struct rig *rig, const struct loads *loads, const struct plan *now,
             struct improvements *ret_improvements);
void improvements_free(struct improvements *improvements);

#endif
