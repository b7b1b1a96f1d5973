/* Usual limits of lithium iron phosphate: what a stop by the board is told beside, whatever the label states.
 *
 * 2.5 and 3.65 V a cell: several general pages that agree, of low authority. Charging from 0 to 45 °C, up to 60 °C by
 * some: from memory. They are what is usual; a verdict rests on the label alone.
 *
 * A stop whose threshold was found stands to the limit as that does. Else the temperature is that of the probe's place,
 * behind which the pack's own sensor lags: a stop before the limit is one for sure, and of one beyond it only the place
 * is known to have been beyond. Volts are those of the terminals and a mean of the cells, not of the lowest or highest. */
#ifndef RUNDOWN_CLAIMS_USUAL_LIMITS_H
#define RUNDOWN_CLAIMS_USUAL_LIMITS_H

#include <stddef.h>

struct findings;
struct label;
struct notices;

#define USUAL_LEAST_CELL_V 2.5
#define USUAL_MOST_CELL_V 3.65
#define USUAL_COLD_DEGC 0.0
#define USUAL_HOT_LOW_DEGC 45.0
#define USUAL_HOT_HIGH_DEGC 60.0

/* Fills each trip's `usual`, and adds to the words of each stop how it stands to the usual limit, where the label is that of lithium iron phosphate and
 * what is needed was measured. `decide`: the probability that decides. */
void usual_limits_say(const struct label *label, double decide, struct findings *findings);

/* A charge that no stop by a sensor ended, with the probe beyond 0 or 60 °C, is a notice, where the label claims nothing of
 * it (else the verdict tells it). `log`: its name. */
void usual_limits_mind(const struct label *label, const struct findings *findings, const char *log, struct notices *notices);

#endif
