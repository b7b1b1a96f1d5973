/* Calls: what is said aloud while a test runs, each as one calm sentence with its numbers and units.
 *
 * The watch makes those that readings give rise to; what only the recorder can see (an instrument falls
 * silent, the clock steps, the disk fills) is worded here too, so that all calls sound alike. */
#ifndef RUNDOWN_BENCH_CALLS_H
#define RUNDOWN_BENCH_CALLS_H

#include <stdbool.h>

enum call_kind {
    CALL_CUE,          /* soon: take up the camera, the burst of the plan */
    CALL_RATED_CHARGE, /* the rated Ah has passed */
    CALL_RATED_ENERGY,
    CALL_STEP,  /* the load changed */
    CALL_KNEE,  /* the volts have left the plateau */
    CALL_END,   /* of the discharge or charge */
    CALL_LIMIT, /* volts, cell volts, amps, temperature, its rate of rise */
    CALL_SILENT, /* an instrument */
    CALL_HEARD,  /* it speaks again */
    CALL_CLOCK,
    CALL_DISK,
    CALL_TOO_WIDE, /* the rig cannot decide the claim at hand */
    CALL_KINDS
};
const char *call_kind_name(enum call_kind kind); /* "cue", "rated charge", "silent", …: for the book and --on-call */

enum call_kind call_kind_of(const char *name);         /* CALL_KINDS for no call's */

struct call {
    enum call_kind kind;
    double t_s;     /* from the start of the run; before it: 0 */
    bool urgent;    /* to be heard across the room */
    char text[400]; /* one sentence */
};

/* Cut at a whole character where it is too long. */
__attribute__((format(printf, 4, 5)))
struct call call_make(enum call_kind kind, double t_s, bool urgent, const char *text, ...);

/* `cause`: as the instrument's driver put it, "" unknown. */
struct call call_silent(double t_s, const char *instrument, double for_s, const char *cause);
struct call call_heard(double t_s, const char *instrument, double gap_s);
/* The wall clock went `by_s` ahead (negative: back) of the clock that stamps the readings. */
struct call call_clock_stepped(double t_s, double by_s);
/* `lasts_s`: how long the space will do at the pace so far; NaN unknown. */
struct call call_disk_low(double t_s, double free_bytes, double lasts_s);

#endif
