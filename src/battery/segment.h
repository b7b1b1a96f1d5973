/* Segment: where one thing ends and the next begins, from volts and amps alone.
 *
 * Runs are maximal stretches of rest, charge and discharge (kinds.h), told apart by a current below which
 * nothing of note flows (rest.h). Phases are what is left when a run is cut at its steps (cuts.h), and a
 * charge where its volts begin to be held (mode.h). A step must stand STEP_NOISE standard deviations over
 * the noise of its run, four digits, and STEP_SHARE of the working current.
 *
 * A pulse is a phase between two phases of one base current (or rest), shorter than either, and brief
 * or small besides: no longer than PULSE_S, or less charge than PULSE_SHARE of the log's. */
#ifndef RUNDOWN_BATTERY_SEGMENT_H
#define RUNDOWN_BATTERY_SEGMENT_H

#include "battery/findings.h"
#include "quantity/series.h"

#define STEP_NOISE 6.0
#define STEP_SHARE 0.01  /* common practice, no source */
#define PULSE_S 120.0    /* pulses of test procedures last 1 s to 60 s */
#define PULSE_SHARE 0.10 /* four minutes at 1 I_t are 7 %; no source */

enum { RUNS_MOST = 5000, PHASES_MOST = 20000 }; /* a load that switches oftener is taken as one that varies */

/* Fills runs, phases, steps (without resistances), noise and period of ret_findings, and of a run its
 * means, peak and volts at the ends; leaves the rest. Time linear in the count; the trace must not be
 * empty. False when memory does not allow it. */
bool segment(const struct trace *trace, const struct rig *rig, struct findings *ret_findings,
             struct notices *notices);

#endif
