/* Rates: the tests from which a Peukert exponent (battery/peukert.h) may be taken, brought to one end.
 *
 * A test counts when the readings saw it begin and it came down to an end that it shares with the others: the
 * lowest cut-off asked for that most of them reached; without one, nearly empty, by the BMS or at
 * volts that are alike within ENDS_ALIKE (our convention). What does not count is left out, and that is said. A
 * run's uncertainty is what it does not share with the others over the same rig. */
#ifndef RUNDOWN_CLAIMS_RATES_H
#define RUNDOWN_CLAIMS_RATES_H

#include "claims/assessment.h"

#define ENDS_ALIKE 0.02

struct peukert rates_fit(const struct record *records, size_t count);

#endif
