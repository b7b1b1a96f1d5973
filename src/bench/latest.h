/* Latest: what each channel of the rig last said, and for how long that may be shown.
 *
 * A value is shown and watched while it is fresh: no older than three periods of its instrument, or its timeout.
 * After that there is none: nothing is carried on. */
#ifndef RUNDOWN_BENCH_LATEST_H
#define RUNDOWN_BENCH_LATEST_H

#include "bench/watch.h"
#include "instrument/driver.h"

struct latest;

/* `links` is borrowed. `slack_s` is added to the time for which a value is fresh: delays of a machine whose bench
 * runs faster than life. */
struct latest *latest_new(const struct links *links, double slack_s);
void latest_free(struct latest *latest);

/* Takes over what was heard; a missing cell leaves the older value to grow old. What was typed by eye stands for ten
 * minutes, for channels that no instrument tells then. */
void latest_heard(struct latest *latest, size_t instrument, const struct arrival *arrival, double t_s);
void latest_typed(struct latest *latest, const struct reading_now *now);

void latest_forget_typed(struct latest *latest);

/* The instrument whose readings pace the watch: the one with the amps, else the volts, else the first. */
size_t latest_pace(const struct latest *latest);

/* What is known at an instant. Watts come from volts and amps where no meter gives them. */
struct reading_now latest_now(const struct latest *latest, double t_s, double *ret_w);

#endif
