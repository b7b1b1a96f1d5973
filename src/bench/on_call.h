/* On call: a command of the user's choosing, run for each call, never waited for.
 *
 * It is run by `sh -c COMMAND`, with the call's sentence as $1 and in its environment RUNDOWN_CALL (the sentence),
 * RUNDOWN_CALL_KIND (`limit`), RUNDOWN_CALL_URGENT (yes or no), RUNDOWN_CALL_AT (seconds from the start),
 * RUNDOWN_SAMPLE and RUNDOWN_RUN. Its input is empty, its output goes nowhere. At most ON_CALL_AT_ONCE run side by
 * side; further calls wait for their turn, ON_CALL_WAITING of them, and what does not fit is counted. */
#ifndef RUNDOWN_BENCH_ON_CALL_H
#define RUNDOWN_BENCH_ON_CALL_H

#include "bench/calls.h"

#include <stdint.h>
#include <sys/types.h>

enum { ON_CALL_AT_ONCE = 4, ON_CALL_WAITING = 32 };

struct on_call {
    const char *command; /* borrowed; NULL: nothing is run */
    const char *sample;  /* borrowed */
    int64_t run;
    pid_t running[ON_CALL_AT_ONCE]; /* 0: free */
    struct call waiting[ON_CALL_WAITING];
    size_t waiting_count;
    size_t dropped, failed; /* calls without a command run; commands that could not start or ended badly */
};

/* Runs the command for this call, now or when there is room. */
void on_call(struct on_call *on, const struct call *call);
/* Takes leave of commands that have ended, and starts waiting ones. To be called now and then; does not wait. */
void on_call_tend(struct on_call *on);
/* Gives the commands at most `seconds` of the machine to be started and to end; those that do not end go on. */
void on_call_finish(struct on_call *on, double seconds);

#endif
