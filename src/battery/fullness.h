/* Fullness: whether a charge filled the sample, and whether the sample was full when its test began.
 *
 * A charge is shown to have filled it when, at the volts of its end, the current had fallen to FULL_TAIL_IT of the
 * rated Ah per hour, or was never more. IEC 62620 and IEC 61960-3 leave the end of charge to the maker, so the volts
 * are those of the label where it states them, less FULL_VOLTS_SHARE for a charger that is set lower; else, for lithium
 * iron phosphate, FULL_CELL_V a cell, the lower end of what chargers are set to. These three are common practice and
 * have no source. Volts under charge below KNEE_CELL_V a cell show lithium iron phosphate cells still on
 * their plateau: not full. Volts at rest show nothing of it. */
#ifndef RUNDOWN_BATTERY_FULLNESS_H
#define RUNDOWN_BATTERY_FULLNESS_H

#include "battery/findings.h"

#define FULL_TAIL_IT 0.05
#define FULL_TAIL_SLACK 0.2 /* of it: a charger that ends at just that is met */
#define FULL_CELL_V 3.55
#define FULL_VOLTS_SHARE 0.02
#define KNEE_CELL_V 3.45

/* Fills full, full_words and below_knee from the rest. */
void fullness_judge(const struct asked *asked, struct charging *charging);

/* The charging that the test began from: the last before it with nothing drawn between; NULL when the readings hold none.
 * One that was shown to fill the sample is taken before a later one (a charger's float). */
const struct charging *fullness_charge(const struct findings *findings);

/* Fills full_before, full_doubted and full_words. Needs the test and the chargings. */
void fullness_find(struct findings *findings);

#endif
