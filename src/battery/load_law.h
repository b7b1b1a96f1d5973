/* Load law: the exponent n in I ∝ V^n that the load followed: -1 constant power, 0 constant current,
 * +1 constant resistance.
 *
 * Each phase of the test that is no pulse is cut into groups of readings; ln I is regressed on ln V
 * over the groups, each phase about its own mean (loads may be switched between phases). Groups
 * average the noise of the volts away; what is left of it flattens the slope, and is put back
 * (Fuller 1987, Measurement Error Models, 1.1: n = slope / (1 - noise variance / variance of ln V)).
 * Residuals that follow one another count for fewer (variance times (1 + r) / (1 - r), r their lag-1
 * correlation). The digits of the current, which a constant reading hides, and the meter's offsets go
 * into the budget; gains do not change n. A small range of volts gives a wide interval, and a law is
 * named only where the interval stays nearer to it than to the next, within a half. */
#ifndef RUNDOWN_BATTERY_LOAD_LAW_H
#define RUNDOWN_BATTERY_LOAD_LAW_H

#include "battery/delivery.h"
#include "battery/findings.h"

/* Needs the phases and the noise of findings. */
struct load_finding load_law_find(const struct delivery *delivery, const struct findings *findings);

#endif
