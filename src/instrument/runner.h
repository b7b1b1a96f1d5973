/* Runner: instruments on their threads, each behind one bounded queue that a single writer empties.
 *
 * A thread connects, hears and pushes; after a loss it tries again with back-off (1, 2, 4 … 30 s of the
 * clock) until it is stopped. What happens to the connection is pushed in the same queue, so that the writer
 * sees losses and readings in their order. When the queue is full the thread waits; what an instrument says
 * meanwhile may be lost on its side of the line and then shows as a gap, never as a repeated value. An instrument
 * that is asked before it has measured again says the same with the same time of its own: that is no reading. */
#ifndef RUNDOWN_INSTRUMENT_RUNNER_H
#define RUNDOWN_INSTRUMENT_RUNNER_H

#include "instrument/driver.h"

#include <stddef.h>

enum news_kind {
    NEWS_READING,
    NEWS_CONNECTED, /* text: identity */
    NEWS_LOST,      /* text: cause */
    NEWS_GARBAGE,   /* text: what came, shortened; counted by the runner, at most one a second is pushed */
    NEWS_SILENT,    /* nothing for max(3 periods, timeout), and 50 ms of the machine where its clock is faster
                        than life; pushed once until it speaks again */
    NEWS_END,
};

struct news {
    size_t instrument; /* index into the links */
    enum news_kind kind;
    int64_t at_ns;
    struct arrival arrival; /* NEWS_READING */
    char text[160];         /* the others */
};

struct runner;

/* Checks every link (driver.prepare) and starts nothing: a fault of the rig file comes before anything is
 * switched on. `links`, `among` (ended by NULL) and `clock` are borrowed until runner_free. */
enum status runner_prepare(const struct links *links, const struct driver *const *among,
                           const struct clock *clock, size_t queue_room, struct runner **ret_runner,
                           struct message *message);
enum status runner_start(struct runner *runner, struct message *message);

/* Up to `room` news in the order pushed; waits for at most `timeout_s` of the clock for the first. */
size_t runner_take(struct runner *runner, struct news *ret_news, size_t room, double timeout_s);

/* Wakes a waiting runner_take. Safe in a signal handler. */
void runner_wake(struct runner *runner);

void runner_stop(struct runner *runner); /* joins the threads; what is queued can still be taken */
void runner_free(struct runner *runner);

#endif
