/* Holding: what the board let through, and what stopped it.
 *
 * - each current that was held, of a discharge or a charge, for how long, and how it ended: tripped, by its own end, or
 *   empty. Stretches of one base current are one hold, with the pulses of more current between them counted in; such a
 *   pulse is a hold of its own. Raises to a trip, again and again, so give the trip curve: current and time of each;
 * - the low-voltage stop: in total and as a mean a cell, under which load, the volts with I·R beside it (at the knee
 *   that is not an open-circuit voltage), the recovery, what woke the pack and after how long. */
#ifndef RUNDOWN_BATTERY_HOLDING_H
#define RUNDOWN_BATTERY_HOLDING_H

#include "quantity/measure.h"

#include <stdbool.h>
#include <stddef.h>

struct asked;
struct findings;
struct rig;
struct series;

enum hold_end { HOLD_CANNOT_TELL, HOLD_TRIPPED, HOLD_EASED, HOLD_EMPTY, HOLD_READINGS_END, HOLD_RAISED };
const char *hold_end_name(enum hold_end end); /* "the board opened", "the current went down", … */

struct hold {
    size_t run;
    double from_s;
    struct measure a;          /* mean while held, positive */
    struct measure held_s;     /* until it ended */
    enum hold_end end;
    bool charging;
    double degc;               /* at its end, channel temperature; NaN */
    char words[240];           /* "held from full to cut-off, sensor at 41 °C, no trip" */
};

struct low_stop {
    size_t run;
    struct measure end_v;
    double end_cell_v;         /* NaN when the cells are unknown */
    struct measure load_a;     /* that flowed at the end */
    double v_plus_ir;          /* NaN: no resistance was found */
    struct measure recovery_v; /* highest afterwards */
    double recovery_after_s;
    char woke_by[80];          /* "" not seen to wake; "a charger", "by itself", … */
    struct measure woke_after_s;
    char words[320];
};

enum { HOLDS = 64, LOW_STOPS = 16 };
/* In the order of time; both return how many. Need runs, phases, steps, endings and trips. */
size_t holds_find(const struct series *series, const struct rig *rig, const struct asked *asked,
                  const struct findings *findings, struct hold ret_holds[static HOLDS]);
size_t low_stops_find(const struct series *series, const struct rig *rig, const struct asked *asked,
                      const struct findings *findings, struct low_stop ret_stops[static LOW_STOPS]);

#endif
