/* Beginning: whether a log whose first reading is under load saw the test from its start.
 *
 * A load just switched on shows: the volts fall fast at first and ever slower after (the RC pairs of a
 * battery settle within minutes; common practice), so that the first reading stands over the straight line
 * through the minutes after, carried back. Or the meter's own tally begins near zero. When neither shows, the
 * discharge may have been under way for any time: what is delivered in the log is then a least value only. */
#ifndef RUNDOWN_BATTERY_BEGINNING_H
#define RUNDOWN_BATTERY_BEGINNING_H

#include "battery/delivery.h"
#include "battery/findings.h"

#define BEGUN_SHARE 0.005 /* a tally below this share of what it gains over the test begins near zero; no source */

/* Needs phases, noise and the test's charge. */
bool beginning_unseen(const struct delivery *delivery, const struct findings *findings);

#endif
