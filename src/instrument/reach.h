/* Reach: a file descriptor to where an instrument is. */
#ifndef RUNDOWN_INSTRUMENT_REACH_H
#define RUNDOWN_INSTRUMENT_REACH_H

#include "base/clock.h"
#include "base/status.h"
#include "instrument/address.h"

/* Opens it without blocking for longer than `timeout_s` of the clock (but for the look-up of a host's name).
 * `*ret_fd` does not block, and is closed by the caller. A serial line is raw and taken exclusively. */
enum status reach_open(const struct address *address, const struct clock *clock, double timeout_s,
                       int *ret_fd, struct message *message);

/* Waits until the descriptor is ready for `events` (poll.h), hung up or faulty, or until `until_ns` of the clock;
 * false when it passed. Signals do not end it. */
bool reach_wait(int fd, short events, const struct clock *clock, int64_t until_ns);

int64_t reach_until_ns(const struct clock *clock,
                       double seconds); /* now + seconds; within what int64_t holds */

#endif
