/* DC resistance at a step of the current: R = -(V_after - V_before) / (I_after - I_before).
 *
 * V_before is what the volts would have been had the current stayed: the line through the readings before
 * the step (local_line.h says which), carried to the moment of V_after. The stretch of as many readings before those
 * tells how the volts bend: at its end the line is corrected for that (y''L²/12 in its value, y''L/2 in its slope), and it goes on
 * as an exponential when its slope had been shrinking; so that the slope of a relaxation or of a discharge does not
 * count. (HPPC, DOE/ID-11069, takes the last volts at rest instead, which after a long rest is the same.) The step is
 * taken to fall in the middle of the interval between the last reading before and the first after, and
 * delays count from there: the first sample, then 1 s, 10 s and 30 s as far as the phase holds and
 * readings lie close enough. A delay counted from the last reading before the step differs by half an
 * interval, which is in the budget. A first reading with less than nine tenths of the step was taken within it: it is passed
 * over, and where the meter is known to average, the step lies in the middle of what that reading averages.
 *
 * Budget: fit before, noise of volts and amps, digits as far as noise and slope do not blur them, gains;
 * the offset cancels in both differences. |dV/dt| times half the interval (and what a gap of the clock may add), for the unknown
 * instant; |dV/dt| and |dI/dt| times the
 * skew of the channels (when the rig does not state it: one sampling interval), and times half the
 * meter's averaging. The leads' resistance is taken off, with its uncertainty. Not a number: a step
 * within ten times what noise and digits let one see, volts older than their amps, a first sample
 * which the meter's averaging mixes, volts that have collapsed on one side (the sample was disconnected: a charger
 * that wakes a dark pack shows no resistance), and volts that go the wrong way. */
#ifndef RUNDOWN_BATTERY_RESISTANCE_H
#define RUNDOWN_BATTERY_RESISTANCE_H

#include "battery/findings.h"
#include "quantity/series.h"

/* Fills the resistances of every step; needs runs, phases, steps and noise. None without volts. */
void resistance_find(const struct series *series, const struct trace *trace, const struct rig *rig,
                     struct findings *findings);

/* Of the steps whose first resistance is known, the one whose last is known best; NULL when there is none. */
const struct step *resistance_best(const struct findings *findings);

/* The volts before a step as its resistances take them: the line through them from from_s up to the step, to be drawn;
 * and where they would have been at a delay after it, had the current stayed. */
struct step_line {
    double from_s, from_v, at_v;
};
struct step_line resistance_line(const struct series *series, const struct trace *trace, const struct rig *rig,
                                 const struct findings *findings, const struct phase *before, const struct step *step);
double resistance_carried_v(const struct series *series, const struct trace *trace, const struct rig *rig,
                            const struct findings *findings, const struct phase *before, const struct step *step,
                            double delay_s);

/* One of them at a delay of one's own. `step` lies between the phase `before` and the next. The volts that
 * went into it are given as well; untouched where no reading lies close enough. */
struct measure resistance_between(const struct series *series, const struct trace *trace,
                                  const struct rig *rig, const struct findings *findings,
                                  const struct phase *before, const struct step *step, double delay_s,
                                  double *ret_before_v, double *ret_after_v);

#endif
