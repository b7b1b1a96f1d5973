/* Ending: how each run ended, as far as the readings show, and with the evidence in words.
 *
 * A discharge whose current vanishes while the volts collapse to COLLAPSED of what they were, or the
 * meter goes dark, was ended by the pack's BMS: the terminals were disconnected. Far from empty, and with no
 * burst or high current to open for, that looks the same as leads that somebody took off. Volts that rebound show
 * terminals that are still live, so something else let go: near the empty end the load's own limit, or
 * (mean volts a cell of a lithium iron phosphate pack below BMS_CELL_V, where the weakest cell may have
 * tripped a BMS that leaves the meter on the cells) not to be told; far from it a person. A log whose last
 * reading is under load tells nothing. A charge whose current tapered was ended by the charger; volts
 * that jump up as its current stops, to the limit of a supply that has lost its load, show a BMS that opened. Without
 * either, far from full (KNEE_CELL_V of fullness.h), it was the supply that stopped: somebody switched it off. What a later charge pushes in to wake a dark
 * pack is a run of its own. Levels: common practice, no source. */
#ifndef RUNDOWN_BATTERY_ENDING_H
#define RUNDOWN_BATTERY_ENDING_H

#include "battery/findings.h"
#include "quantity/series.h"

#define COLLAPSED 0.4
#define CAUGHT 0.9 /* of the reading before: amps less than that are on their way to nothing */
#define LOW_CELL_V 2.9 /* the plateau is left behind */
#define PLATEAU_CELL_V 3.2 /* at rest: no emptied cell comes back so far within minutes … */
#define FALLEN 0.95        /* … and one on its way to empty falls by more of its volts under a load */
#define BMS_CELL_V 2.6
#define KNEE_S 120.0   /* under one load; less is a burst, not a discharge */
#define HIGH_IT 0.5    /* of the rated charge in an hour: nobody takes leads off at that */
#define BURSTING 1.5   /* of the run's mean current */
#define LOW_SHARE 0.9  /* of the volts half way through, where the cells are not known */

/* Needs runs, phases and noise. Fills `ended` of every run. */
void endings_find(const struct series *series, const struct trace *trace, const struct rig *rig,
                  const struct asked *asked, struct findings *findings);

#endif
