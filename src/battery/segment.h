/* Segment: where one thing ends and the next begins, from volts and amps alone.
 *
 * Runs are maximal stretches of rest, charge and discharge; phases are what is left when the current is
 * cut at its steps. Method: a candidate is an instant where the current changes by more than the noise
 * allows; among the candidates the change points are chosen by optimal partitioning with piecewise-
 * linear segments (Killick, Fearnhead & Eckley 2012, doi:10.1080/01621459.2012.737745), so that the
 * drift of a constant-power load is one segment and a change of slope without a jump is no step. A
 * jump must stand over the noise on both sides and last longer than one reading. */
#ifndef RUNDOWN_BATTERY_SEGMENT_H
#define RUNDOWN_BATTERY_SEGMENT_H

#include "battery/findings.h"
#include "quantity/series.h"

/* Fills runs, phases, steps (without resistances), noise and period of ret_findings; leaves the rest.
 * Needs time linear in the count; false when memory does not allow it. */
bool segment(const struct trace *trace, const struct rig *rig, struct findings *ret_findings,
             struct notices *notices);

#endif
