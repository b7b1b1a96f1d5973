/* Clock: passed in, never fetched, so that a test or a rehearsal can set the pace.
 *
 * Two times side by side: a monotonic one, by which readings are stamped, and UTC, which an operator or
 * a time server may set forth or back at any moment and which changes nothing but what is printed. */
#ifndef RUNDOWN_BASE_CLOCK_H
#define RUNDOWN_BASE_CLOCK_H

#include <stdint.h>

struct clock {
    int64_t (*now_ns)(void *context); /* monotonic; its zero means nothing */
    int64_t (*utc_ns)(void *context); /* since 1970 */
    /* Returns at `until_ns` of now_ns, or earlier; not before, unless a signal came. */
    void (*wait_ns)(void *context, int64_t until_ns);
    double rate; /* seconds of this clock in a second of the machine's; for timeouts of system calls */
    void *context;
};

/* The machine's own (CLOCK_MONOTONIC, CLOCK_REALTIME); rate 1. */
struct clock clock_machine(void);

/* The machine's, gone through faster: both times run at `rate` from the call on. For rehearsals. */
struct clock_paced {
    double rate;
    int64_t began_ns, began_utc_ns;
};
struct clock clock_at_rate(struct clock_paced *paced, double rate);

/* Set by hand, for tests: wait_ns sets it forward. Not for several threads. */
struct clock_set {
    int64_t now_ns, utc_ns;
};
struct clock clock_by_hand(struct clock_set *set);

/* Milliseconds of the machine, at least 1, in which `seconds` of this clock pass; for poll and select. */
int clock_timeout_ms(const struct clock *clock, double seconds);

#endif
