/* Settling: how the volts come to rest once the current has stopped.
 *
 *     V(t) = V∞ + a₁ e^(−t/τ₁) + a₂ e^(−t/τ₂)
 *
 * One term or two, whichever the Bayesian information criterion (Schwarz 1978, Ann. Statist. 6, 461) prefers, by least
 * squares over at most SETTLE_POINTS means that lie evenly along log t. Diffusion is no sum of two exponentials: its
 * tail is slower than the slowest of them. So a settled value is given only when the rest lasted three of the longest
 * constant found, be it of the whole or of its later three quarters alone. Else it is said how long to wait. What
 * the later three quarters say of the settled volts counts as doubt of the model. A short rest shows the fast constants
 * and takes the slow ones for level: a straight line is fitted beside the terms, and what it says may go on for as long
 * again as the rest lasted, and for SETTLE_CREEPS_S at least. So may the steepest slope that is not ruled out in volts in
 * which no movement is seen. Where that is told and much after a shorter rest, nothing is settled.
 * Settled volts say nothing of how full a lithium iron phosphate pack is: between some 15 and 95 % they hardly differ. */
#ifndef RUNDOWN_BATTERY_SETTLE_H
#define RUNDOWN_BATTERY_SETTLE_H

#include "quantity/measure.h"

#include <stdbool.h>
#include <stddef.h>

enum { SETTLE_POINTS = 240 };
#define SETTLE_CONSTANTS 3.0 /* of the longest constant a rest must have lasted */
#define SETTLE_CREEPS_S 7200 /* cells come to rest with constants of up to hours: common practice, no source */

struct settling {
    int terms;              /* 0: nothing could be fitted, or nothing moves any more (then settled_v is known) */
    double a_v[2];          /* shortest constant first; positive falls to rest, as after a charge */
    double tau_s[2], tau_u_s[2];
    double lasted_s;        /* of the readings that were fitted */
    double last_v;          /* mean of the last point */
    struct measure settled_v; /* without the voltmeter's own gain and offset: the caller's to add, before closing */
    double wait_s;          /* how much longer until it can be told; 0: it can; NaN: not known */
    double residual_v;      /* rms of what the fit leaves */
};

/* t_s rises from the moment the current stopped; v in volts, NaN is left out. At least 8 readings over 10 s. */
void settle_find(const double *t_s, const double *v, size_t n, struct settling *ret_settling);

#endif
