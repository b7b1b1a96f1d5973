/* Fullness: whether the sample was full when its test began, from the log alone.
 *
 * Full is shown by a charge that held its volts while the current died away to a quarter of its peak or
 * less (IEC 62620 and IEC 61960-3 leave the end of charge to the maker, so what it fell to is said), with
 * no discharge between it and the test. Not full is shown by a charge without such a tail that put back
 * clearly less than the discharge before it had taken. Anything else cannot be told. */
#ifndef RUNDOWN_BATTERY_FULLNESS_H
#define RUNDOWN_BATTERY_FULLNESS_H

#include "battery/delivery.h"
#include "battery/findings.h"

/* The tail of a charge. */
struct tail {
    bool seen;
    double held_v, end_a; /* volts that were held, current at the end (positive); NaN when not seen */
};

struct tail fullness_tail(const struct delivery *delivery, const struct findings *findings, size_t run);

/* Fills full_before and full_words. Needs the phases and the charge of the runs. */
void fullness_find(const struct delivery *delivery, struct findings *findings);

#endif
