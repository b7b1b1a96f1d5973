/* Recorder: one test, live: instruments in, book out.
 *
 * One writer: it takes news from the runner, stamps them with seconds from the start of the run by the monotonic
 * clock, journals them, and commits at least once a second (a second of the clock, or of the machine when the
 * bench runs faster than life). What it shows before the commit is marked so. It never stops for an instrument:
 * what is lost becomes a gap with its cause. */
#ifndef RUNDOWN_BENCH_RECORDER_H
#define RUNDOWN_BENCH_RECORDER_H

#include "bench/watch.h"
#include "book/book_run.h"
#include "instrument/runner.h"

struct recorder_request {
    const char *book;           /* path */
    const char *vfs;            /* of the book; NULL */
    const char *sample;         /* name; made when new */
    enum test_kind kind;
    const char *rig, *label, *plan; /* paths; NULL: the book's own latest */
    bool resume;                /* the sample's run that a crash left open */
    double commit_s;            /* 0: 1 s */
    const char *on_call;        /* command of the user's choosing; NULL none */
};

/* What is known at one moment, for a screen; every number own unit, NaN where nothing was heard of late. */
struct bench_view {
    double elapsed_s, v, a, w, degc, ah, wh;
    bool committed;             /* all of this is in the book and acknowledged by the storage */
    double behind_s;            /* age of the newest reading that is not */
    struct forecast forecast;
    size_t readings, lost_instruments;
    int64_t run;
};

struct recorder;

enum status recorder_open(const struct recorder_request *request, const struct clock *clock,
                          struct recorder **ret_recorder, struct message *message);
enum status recorder_start(struct recorder *recorder, struct message *message);
/* Takes what has come, watches, commits when due; waits at most `timeout_s`. Calls go to `heed`. */
enum status recorder_turn(struct recorder *recorder, double timeout_s,
                          void (*heed)(void *context, const struct call *call), void *context,
                          struct bench_view *ret_view, bool *ret_over, struct message *message);
/* A key's mark, or a line as in the hand-readings form, at this instant. */
enum status recorder_say(struct recorder *recorder, const char *line, struct message *message);
/* Seals, closes the run, says how it ended by its own events; the book stays whole whatever fails. */
enum status recorder_end(struct recorder *recorder, const char *cause, struct message *message);
void recorder_close(struct recorder *recorder);

#endif
