/* Bursts: what a stretch of higher current between two stretches of a base load cost.
 *
 * Energy: ∫ (V_base(q) - V(q)) dq over the burst and its recovery, V_base carried across at equal charge
 * from the base load on both sides (burst_base.h). Beside it as a check Q·R·ΔI, with R from the step up at
 * the longest delay it held. Budget: the fit (widened by correlation of its residuals) and how far
 * other windows and curves lie apart, half-width; what its warmth does to the base after it, 1.5 % of the cost (from
 * rehearsals); where in the burst the base fell, which nothing shows (a triangle between its volts at either end); noise
 * and digits of the volts in the burst; gains of volts and amps, which cancel in the share of the test's energy; the
 * instants of the steps, and the skew of the channels at them.
 *
 * Charge: a burst turns energy into heat but moves no charge past the meter. What it can have cost is
 * what its unrecovered volts, worth dV/dq at the end of the discharge, bring the cut-off forward: a bound.
 * A burst that itself reaches the cut-off leaves charge behind at the base load, and one run does not say
 * how much. */
#ifndef RUNDOWN_BATTERY_BURST_H
#define RUNDOWN_BATTERY_BURST_H

#include "battery/burst_base.h"
#include "battery/findings.h"
#include "quantity/series.h"

#define BURST_RATIO 1.2 /* of its current to the base's; and the bases on both sides agree as closely */
enum { BURSTS_MOST = 64 };

/* Whether phase k is one: a shorter stretch of more current than the base before it, back at that base
 * afterwards, or at the end of its run. */
bool burst_is(const struct findings *findings, size_t k, bool *ret_reached_end);

/* The base carried across a burst as its cost takes it; false when there are too few readings on either side. */
bool burst_carried(const struct trace *trace, const struct phase *phase, struct burst_base *ret_base);

/* Needs phases, steps with resistances, endings and the test's energy. Fills bursts. */
void bursts_find(const struct series *series, const struct trace *trace, const struct rig *rig,
                 struct findings *findings, struct notices *notices);

#endif
