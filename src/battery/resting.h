/* Resting: how the volts settled in the rests of a log, by the fit of settle.h, with the voltmeter's own error. */
#ifndef RUNDOWN_BATTERY_RESTING_H
#define RUNDOWN_BATTERY_RESTING_H

#include "battery/settle.h"

struct findings;
struct rig;
struct series;

struct resting {
    size_t run;
    bool after_charge, after_discharge; /* neither: the log begins with it */
    struct settling settling;           /* settled_v closed, the voltmeter's gain and offset in it */
    char words[240];                    /* settled at …, or how much longer to wait */
};

enum { RESTINGS = 32 };
/* One a rest that readings can be fitted to, in the order of time; returns how many. */
size_t resting_find(const struct series *series, const struct rig *rig, const struct findings *findings,
                    struct resting ret_resting[static RESTINGS]);

#endif
