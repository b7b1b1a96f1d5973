/* Stop named: which stop by the board a claim in words is about.
 *
 * Two forms are understood: a cause with a word for the stop right after it ('over-current protection', 'low-voltage
 * disconnect', 'low-temperature charge cut-off'), and a verb with its cause after it ('charging stops when cold', 'cuts
 * off at over-current'). Heat and cold by a verb need to be of a charge or a discharge. Anything else names none: rather
 * too few than a mug that stays cold. A claim that there is no such stop names none either. */
#ifndef RUNDOWN_CLAIMS_STOP_NAMED_H
#define RUNDOWN_CLAIMS_STOP_NAMED_H

#include "battery/trip.h"

struct claim;

struct stop_named {
    enum trip_way way; /* TRIP_UNKNOWN: none */
    bool charging;     /* of a charge */
};
struct stop_named stop_named(const struct claim *claim);

#endif
