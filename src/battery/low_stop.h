/* Low stop: where the board stopped a discharge for an empty cell, and how the sample came back.
 *
 * The volts at the stop, in total and as a mean a cell, and the load they stood under. Beside them V + I·R, with the
 * resistance of the step next before that shows one: at the knee that is no open-circuit voltage, and is not called one,
 * since there the resistance grows and the cells have not settled. Afterwards the highest volts at rest, once the
 * terminals are live again, and what woke the pack: a charger, when current flows in as soon as it is live; else what a
 * mark says that was put then; else it came back by itself. A stop by the load itself is none (ending.h). */
#ifndef RUNDOWN_BATTERY_LOW_STOP_H
#define RUNDOWN_BATTERY_LOW_STOP_H

#include "quantity/measure.h"

#include <stddef.h>

struct watched;

struct low_stop {
    size_t run;
    struct measure end_v;
    double end_cell_v;         /* NaN when the cells are unknown */
    struct measure load_a;     /* that flowed at the end */
    double v_plus_ir;          /* NaN: no resistance was found */
    struct measure recovery_v; /* highest at rest afterwards */
    double recovery_after_s;
    char woke_by[80];          /* "" not seen to wake; "a charger", "by itself", … */
    struct measure woke_after_s;
    char words[480];
};

enum { LOW_STOPS = 16 };

/* In the order of time; returns how many. Needs runs, steps with resistances, and endings. */
size_t low_stops_find(const struct watched *watched, struct low_stop ret_stops[static LOW_STOPS]);

#endif
