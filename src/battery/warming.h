/* Warming: whether a place came into thermal equilibrium while a current was held.
 *
 * A first-order fit, T = T∞ + (T₀ − T∞) e^(−t/τ), of the temperature channel over the hold; a final temperature is given
 * only when the hold lasted two of the constants found. A pack at 1 I_t is empty before it is in equilibrium. */
#ifndef RUNDOWN_BATTERY_WARMING_H
#define RUNDOWN_BATTERY_WARMING_H

#include "quantity/measure.h"

#include <stdbool.h>
#include <stddef.h>

struct findings;
struct rig;
struct series;

struct warming {
    size_t hold;                /* index into findings.holds */
    double from_degc, to_degc;  /* as read */
    struct measure final_degc;  /* cannot tell: too short, or nothing of that shape */
    struct measure tau_s;
    double lasted;              /* the hold in constants; NaN */
    bool equilibrium;           /* within 1 K of the final temperature, its interval counted */
    char words[240];
};

enum { WARMINGS = 64 };
/* Of each hold during which a temperature was read; returns how many. */
size_t warming_find(const struct series *series, const struct rig *rig, const struct findings *findings,
                    struct warming ret_warming[static WARMINGS]);

#endif
