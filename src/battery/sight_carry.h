/* Carry: what flowed between two sights, by the load law.
 *
 * Under one load I = k·V^n, so the mean current of a leg is k times the mean of V^n along it, and its mean
 * power k times that of V^(n+1). The path of the volts is known to lie between bounds (sight_path.h): the
 * mean is put in the middle of what they allow, the half-width is kept. Under constant power the energy
 * needs no volts, under constant current the charge needs none. */
#ifndef RUNDOWN_BATTERY_SIGHT_CARRY_H
#define RUNDOWN_BATTERY_SIGHT_CARRY_H

#include "battery/sight.h"

/* Lays out legs and changes between the nodes. Needs the phases. */
void sight_lay_out(struct course *course);

/* The means of each leg. Needs the laws; once durations are known, the bends of the volts are seen, and it
 * is worth doing again. */
void sight_carry(struct course *course);

/* As if nothing had been read between nodes x and y of one phase: a leg of its own, its duration the sum. */
struct leg sight_leg_between(const struct course *course, size_t x, size_t y);

#endif
