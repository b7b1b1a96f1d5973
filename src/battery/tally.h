/* Tally: the meter's own Ah and Wh columns, held against the integral over the same stretch.
 *
 * The tally's increments are summed over the discharges of the test. It may run up or down, start from
 * anything, be signed, and start again at zero (with each loaded step, or when the sample went dark): an
 * increment that the integral cannot explain and that leaves the tally near zero is a restart.
 *
 * The two share a shunt and a divider (rig.tally_shares_meter), so both are wrong alike and their
 * agreement says nothing of that. E_n = (tally - integral) / U, U the 95 % half-width of what they do
 * not share (ISO 13528:2022, 9.7; |E_n| <= 1 agrees): digits of the tally at both ends of each of its
 * pieces, its own offset, and on the side of the integral noise, rounding, sampling and the steps. */
#ifndef RUNDOWN_BATTERY_TALLY_H
#define RUNDOWN_BATTERY_TALLY_H

#include "battery/delivery.h"
#include "battery/findings.h"

/* `energy` false: the Ah column, true: the Wh column. `integral` is that of the test. */
struct tally_check tally_check(const struct delivery *delivery, bool energy);

#endif
