/* Amounts of sights: charge, energy, mean volts and duration of a stretch of legs, by two routes.
 *
 * integral  the means of the legs times their durations
 * tally     what the meter's own total gained along its chains, and the integral outside them
 *
 * Both are kept; the one with the smaller uncertainty is the result. Energy has a third route: the mean
 * volts of each leg times the charge that the charge tally gives it. All carry the meter's gain and offset
 * as shared errors, so routes over one meter differ only by what they do not share. The budget beside
 * gain, offset and clock: what the words left open of the load (resolution, or a hedge), its wander, what
 * the gaps and the load law leave open, the instants of steps, the digits of the tally. */
#ifndef RUNDOWN_BATTERY_SIGHT_AMOUNT_H
#define RUNDOWN_BATTERY_SIGHT_AMOUNT_H

#include "battery/sight.h"

struct sight_amounts {
    struct measure charge_ah, energy_wh; /* the results */
    struct measure integral_ah, integral_wh, tally_ah, tally_wh;
    struct measure mean_v, duration_s;
};

/* Of the legs first…end - 1. An empty stretch is exactly nothing. */
void sight_amounts(const struct course *course, size_t first, size_t end, struct sight_amounts *ret_amounts);

#endif
