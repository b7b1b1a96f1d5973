/* Conditions: how the test was made, beside what IEC 62620 (industrial lithium cells) and IEC 61960-3
 * (portable lithium cells) ask of a capacity test. Departures are named with their likely effect on the
 * capacity, as an interval of measured / standard - 1, and never corrected for.
 *
 * What the standards ask, and the effects, are from memory; the standards themselves decide:
 *   current      0.2 I_t, constant. Effect by Peukert's law, (0.2 I_t / I)^(k - 1), k from 1.00 to 1.05 for
 *                lithium iron phosphate, to 1.30 otherwise
 *   temperature  25 ± 5 °C (62620), 20 ± 5 °C (61960-3). Effect 0 to -0.8 % for each kelvin below 25 °C, 0
 *                to +0.3 % above, for lithium iron phosphate; otherwise not stated
 *   rest before  1 h to 4 h after the charge. A longer rest: self-discharge of up to 3 % in a month; a
 *                shorter one: up to +0.5 %
 *   cut-off      the end voltage that the maker declares
 *   full charge  as the maker declares */
#ifndef RUNDOWN_BATTERY_CONDITIONS_H
#define RUNDOWN_BATTERY_CONDITIONS_H

#include "battery/findings.h"

/* Fills conditions and condition_count. Needs all else that is known of the test, whose runs are those of
 * findings; `ambient_degc`: of the room during it, NaN unknown. */
void conditions_find(const struct asked *asked, double ambient_degc, struct findings *findings);

/* That of the full charge again, after full_before or full_words have changed. */
void conditions_full(struct findings *findings);

#endif
