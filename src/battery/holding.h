/* Holding: what the board let through, and for how long.
 *
 * Each current that was held, of a discharge or a charge, and how that ended: tripped, eased by whoever drew it, or
 * empty. Stretches of one base current are one hold, with the bursts between them counted in; a burst is a hold of its
 * own. Raises to a trip, again and again, so give the trip curve: current and time of each. What a charger held at
 * constant volts is no hold: its current dies away. A trip is what ending.h shows to be the board's doing; a load or a
 * supply that stopped by itself is not told from whoever switched it off, and neither is a trip. */
#ifndef RUNDOWN_BATTERY_HOLDING_H
#define RUNDOWN_BATTERY_HOLDING_H

#include "quantity/measure.h"

#include <stdbool.h>
#include <stddef.h>

struct findings;
struct watched;

enum hold_end { HOLD_CANNOT_TELL, HOLD_TRIPPED, HOLD_EASED, HOLD_EMPTY, HOLD_READINGS_END, HOLD_RAISED };
const char *hold_end_name(enum hold_end end); /* "the board opened", "the current went down", … */

struct hold {
    size_t run;
    double from_s;
    struct measure a;          /* mean while held, positive */
    struct measure held_s;     /* until it ended */
    enum hold_end end;
    bool charging;
    int bursts;                /* of more current, within it */
    double degc;               /* at its end, channel temperature; NaN */
    char words[240];           /* "held from full to cut-off, sensor at 41 °C, no trip" */
};

enum { HOLDS = 64 };

/* In the order of time; returns how many. Of more than HOLDS the shortest of those that merely eased are left out. Needs
 * runs, phases, steps and endings; leaves the words. */
size_t holds_find(const struct watched *watched, struct hold ret_holds[static HOLDS]);

/* Writes the words of all holds, anew whenever it is known better whether the sample was full. Needs holds and trips. */
void holds_say(struct findings *findings);

#endif
