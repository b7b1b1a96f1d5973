/* Warming: whether a place came into thermal equilibrium while a current was held.
 *
 *     T(t) = T∞ + (T₀ − T∞) e^(−t/τ)
 *
 * one lump of heat that the room cools, by least squares over at most WARMING_POINTS means that lie evenly in time. A final
 * temperature is given only when the hold lasted two of the constants found: less looks like a straight line, and a
 * line ends nowhere. A pack at 1 I_t is empty before it is in equilibrium. What the fit of the later half says
 * differently of it, and the first half of the constant, counts as doubt of the model: heat follows the resistance,
 * which changes as the pack empties and warms. */
#ifndef RUNDOWN_BATTERY_WARMING_H
#define RUNDOWN_BATTERY_WARMING_H

#include "quantity/measure.h"

#include <stdbool.h>
#include <stddef.h>

struct watched;

enum { WARMING_POINTS = 200 };
#define WARMING_CONSTANTS 2.0   /* of them a hold must have lasted */
#define WARMING_LEAST_K 1.0     /* less is not told from the room's own doings (common practice, no source) */
#define WARMING_SETTLED_K 1.0   /* of the final temperature: in equilibrium (common practice, no source) */

struct warming {
    size_t hold;                /* index into findings.holds */
    double from_degc, to_degc;  /* as read: means of the first and last stretch */
    struct measure final_degc;  /* cannot tell: too short, or nothing of that shape */
    struct measure tau_s;
    double lasted;              /* the hold in constants; NaN */
    bool equilibrium;           /* within WARMING_SETTLED_K of the final temperature, the fit's interval counted */
    char words[240];
};

enum { WARMINGS = 64 };
/* Of each hold during which a temperature was read WARMING_LEAST times, and nothing was heated or chilled; returns how
 * many. Needs holds and trips. */
size_t warming_find(const struct watched *watched, struct warming ret_warming[static WARMINGS]);

enum { WARMING_LEAST = 8 };
/* The fit alone, of temperatures from the moment the current stood: all but `hold`, final_degc and tau_s not closed and
 * without the thermometer's own error, and no words. NaN is left out. */
void warming_fit(const double *t_s, const double *degc, size_t n, struct warming *ret_warming);

#endif
