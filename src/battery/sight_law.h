/* The load law of sights: the exponent n in I = k·V^n, and the level k of each class of phases.
 *
 * The exponent is the slope of ln I on ln V within the classes, by least squares weighted with what
 * the words of each reading allow; its uncertainty is enlarged by the scatter about the line when that is
 * larger (Birge 1932, Phys. Rev. 40:207). A law is found when it is the only one of constant power,
 * current and resistance that lies within the 95 % interval and LAW_SLACK of it. A stated law counts.
 * Else all laws that are not excluded stand, and what they disagree in is part of every result.
 *
 * A level is the weighted mean over its class, or what a tally gained while a clock ran where no amps were read; the load's own wander from reading to reading is the
 * between-readings variance of DerSimonian & Laird 1986 (Controlled Clinical Trials 7:177). */
#ifndef RUNDOWN_BATTERY_SIGHT_LAW_H
#define RUNDOWN_BATTERY_SIGHT_LAW_H

#include "battery/sight.h"

/* Inverters and heaters keep their law no better than this in n. Common practice, no source. */
#define LAW_SLACK 0.15

/* Fills exponent, laws and load of the course, and findings->load. Needs the phases. */
void sight_laws(struct course *course);

/* The level at a node under law l, as the class's mean and the node's own reading tell together. */
double sight_level_at(const struct course *course, size_t node, int law);

/* V^n at a node; 1 when no volts were read. */
double sight_volts_factor(const struct course *course, size_t node, double n);

#endif
