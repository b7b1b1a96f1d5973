/* Timeline: when a reading was, in seconds from the start of the run.
 *
 * One a source. An instrument without a time of its own is stamped by the run's monotonic clock. One that sends
 * its elapsed time keeps it: its first reading ties its time to the run's clock, once, and every later one
 * stands as far from the first as the instrument says. What then cannot be true is told, not smoothed over:
 *
 * - its time falls back: the instrument began again; its time is tied anew;
 * - its time stood still while it was away: tied anew;
 * - it begins again while a crashed recording lies still: tied anew; else a resumed run keeps the tie it had;
 * - the two clocks walk apart: told at 1 s and at each doubling, the tie is kept. A reading may arrive late but
 *   never early, so of each 64 readings the least late one counts.
 *
 * 64 readings, 1 s and 5 s: common practice, no source; where the clock runs faster than life, 50 ms of the machine's
 * own delays count as much longer. Stamps never decrease. */
#ifndef RUNDOWN_BENCH_TIMELINE_H
#define RUNDOWN_BENCH_TIMELINE_H

#include "base/clock.h"
#include "instrument/driver.h"

#include <stdbool.h>

enum { TIMELINE_DECIMALS = 4, TIMELINE_WINDOW = 64 };

enum clock_trouble {
    CLOCK_FINE,
    CLOCK_BEGAN_AGAIN, /* by_s: how far its time fell */
    CLOCK_STOOD_STILL, /* by_s: how much it missed */
    CLOCK_WALKS,       /* by_s: how far it is behind the run's clock; negative: ahead */
};

struct timeline {
    int64_t origin_ns; /* clock.now_ns at the run's zero; may lie before the machine's own start */
    double slack;      /* clock.rate: what counts as a delay of the machine is so much longer */
    bool own_time, tied, was_away, resumed;
    struct unit own_unit;
    double tie_s; /* run's time less the instrument's own */
    double own_last_s, arrived_last_s, last_s;
    double least_late_s, told_s;
    int in_window, decimals;
};

/* `from_s`: stamps before it cannot come any more; 0 for a new run, else the run's last reading. */
struct timeline timeline_begin(const struct link *link, const struct clock *clock, int64_t origin_ns,
                               double from_s);
/* The tie that the run had before it was resumed: kept if the instrument's time agrees with it within 5 s. */
void timeline_resume(struct timeline *timeline, double tie_s);
/* The connection was lost: the next reading is looked at closely. */
void timeline_away(struct timeline *timeline);
/* The stamp, with TIMELINE_DECIMALS decimals or as many as its own time came with, at most 6. */
struct decimal timeline_stamp(struct timeline *timeline, const struct arrival *arrival,
                              enum clock_trouble *ret_trouble, double *ret_by_s);
double timeline_s(const struct timeline *timeline, int64_t at_ns);

#endif
