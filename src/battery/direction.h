/* Direction: which sign of the log's current leaves the sample.
 *
 * A load pulls the volts down: at a step, dV and dI (discharge positive) have opposite signs; along a
 * run, volts fall while current leaves. Steps count most, since they do not depend on the state of
 * charge; the trend decides where there is no step. */
#ifndef RUNDOWN_BATTERY_DIRECTION_H
#define RUNDOWN_BATTERY_DIRECTION_H

#include "quantity/series.h"

struct direction {
    int sign;       /* +1: as in the log; -1: the log counts charge as positive; 0: cannot tell */
    double weight;  /* of the evidence: ratio of agreeing to all voltage response, 0…1 */
    char why[200];
};

struct direction direction_find(const struct trace *trace);

/* Turns current, power (and tallies, if they run the other way) of the series so that it is oriented. */
void direction_apply(struct series *series, int sign);

#endif
