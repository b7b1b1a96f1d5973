/* Doubts: what a reader of the findings must know about the readings, as notices. Nothing is changed. */
#ifndef RUNDOWN_BATTERY_DOUBTS_H
#define RUNDOWN_BATTERY_DOUBTS_H

#include "battery/amounts.h"
#include "battery/findings.h"

/* - readings without volts or amps were left out
 * - the log begins under way: what flowed before is not in the findings
 * - at rest the meter shows a current further from zero than its stated offset allows
 * - a hole within a run: an interval more than HOLE_PERIODS medians long, unless such intervals are the rule
 * - gaps in the log's clock while current flowed */
#define HOLE_PERIODS 10.0
void doubts_say(const struct basis *basis, const struct findings *findings, const struct throughput *throughs,
                struct notices *notices);

#endif
