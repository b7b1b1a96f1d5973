/* Pulse pairs: DC resistance by two discharge pulses, one right after the other, R = (U1 - U2) / (I2 - I1).
 *
 * IEC 61960-3: I1 = 0.2 I_t for 10 s, then I2 = 1.0 I_t for 1 s. IEC 62620: I1 = 0.2 I_t for 30 s, then
 * I2 = 1.0 I_t (as the type of cell has it) for 5 s. The first as found in published procedures, the
 * second from memory. U1 is read at the end of the first pulse, U2 at the end of the second. A pair is
 * held against the one whose times it comes closer to; what departs from it is named. */
#ifndef RUNDOWN_BATTERY_PULSE_PAIR_H
#define RUNDOWN_BATTERY_PULSE_PAIR_H

#include "battery/findings.h"
#include "quantity/series.h"

enum { PAIRS_MOST = 64 };

/* Needs phases, steps and noise. Fills pairs. */
void pulse_pairs_find(const struct series *series, const struct trace *trace, const struct rig *rig,
                      const struct asked *asked, struct findings *findings);

#endif
