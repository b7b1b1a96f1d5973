/* Recorder: one test, live: instruments in, book out.
 *
 * One writer: it takes news from the runner, stamps them with seconds from the start of the run by the monotonic
 * clock, journals them, and commits at least once a second of the machine, and at each full block. What it shows
 * before the commit is marked so. It never stops for an instrument: what is lost becomes a gap with its cause. It
 * never stops for the book either: what cannot be written is held in bounded memory, said, and tried again; what
 * even that does not hold is counted and becomes a gap.
 *
 * One recorder a sample (bench/recording_lock.h): several benches can record into one book, each a run of its own.
 * A step of the wall clock gives a call and changes nothing. A resumed run goes on where the clock says it is by
 * now: by the monotonic clock while the machine has not been started anew, else by UTC. */
#ifndef RUNDOWN_BENCH_RECORDER_H
#define RUNDOWN_BENCH_RECORDER_H

#include "bench/watch.h"
#include "book/book_run.h"
#include "instrument/runner.h"
#include "quantity/sightings.h"

/* The text of a paper under the name by which messages and the book call it; `name` NULL: none. */
struct recorder_paper {
    const char *name;
    struct span text;
};

/* Texts are borrowed until recorder_close. */
struct recorder_request {
    const char *book;   /* path */
    const char *vfs;    /* of the book; NULL */
    const char *sample; /* name; made when new */
    enum test_kind kind;
    const char *rig, *label, *plan; /* paths; NULL: the book's own latest, and where there is none, none */
    struct recorder_paper rig_text, label_text; /* instead of paths */
    bool by_eye;                    /* the rig's instruments are left alone: typed lines are the test */
    bool devices_alone;             /* the rig reaches no files: instrument/devices.h */
    bool resume;                    /* the sample's run that a crash left open, the latest */
    int64_t resume_run;             /* this one of them; 0: the latest */
    bool rehearsed;                 /* the instruments are a rehearsal's: the data are invented, the rig is the sample's */
    double commit_s;                /* of the machine; 0: 1 s */
    double disk_low_bytes;          /* a call below it; 0: 200 MB */
    const char *on_call;            /* command of the user's choosing; NULL none */
    size_t held_cells;         /* what may be held while the book cannot be written; 0: HELD_CELLS_AT_MOST */
    const char *const *limits; /* as limits_set takes them */
    size_t limit_count;
    const struct driver *const *drivers; /* ended by NULL; NULL: instrument/driver.h's and the replay */
};

/* What is known at one moment, for a screen; every number own unit, NaN where nothing was heard of late. */
struct bench_view {
    double elapsed_s, v, a, w, degc, ah, wh;
    bool committed;  /* all of this is in the book and acknowledged by the storage */
    double behind_s; /* age of the oldest reading or event that is not, in seconds of the machine */
    bool unwritable; /* the last commit failed; it is tried again */
    const struct forecast *forecast; /* borrowed, until the next turn; NULL before the first reading */
    size_t readings, lost;           /* taken; those that memory could not hold meanwhile */
    size_t instruments, lost_instruments;
    int64_t run;
};

struct recorder;

/* Reads rig, label and plan and checks them, opens the book, takes the sample; writes nothing and touches no
 * instrument. `clock` NULL: the machine's, at the rate that the rig states. */
enum status recorder_open(const struct recorder_request *request, const struct clock *clock,
                          struct recorder **ret_recorder, struct message *message);
/* The run is in the book from here on; the instruments are started. */
enum status recorder_start(struct recorder *recorder, struct message *message);
/* Takes what has come, watches, commits when due; waits at most `timeout_s` of the machine. Calls go to `heed`.
 * *ret_over: every instrument has said that there is no more. Trouble with the book is no failure, but a call. */
void recorder_turn(struct recorder *recorder, double timeout_s,
                   void (*heed)(void *context, const struct call *call), void *context,
                   struct bench_view *ret_view, bool *ret_over);
/* A line as in the hand-readings form, read at `at_ns` of recorder_clock; words alone are a mark. It is committed with
 * the next turn. A line that breaks the form is refused, and nothing is kept. */
enum status recorder_say(struct recorder *recorder, const char *line, int64_t at_ns, struct message *message);
/* What such a line says, read and not kept: while it is typed. The caller owns it (instant_free). */
enum status recorder_line(struct span typed, struct instant *ret_instant, struct message *message);
/* Takes back a line or mark, counted from 0 in the order in which this recorder was told them. Both it and that it was
 * taken back stay in the book; whoever reads the run leaves it out, and the watch forgets it. */
enum status recorder_take_back(struct recorder *recorder, size_t line, struct message *message);
/* Takes what is still on its way, seals, closes the run. The book stays whole whatever fails. When it cannot be
 * written the run stays open and what is held stays held: calling it again tries again. */
enum status recorder_end(struct recorder *recorder, const char *cause, struct message *message);
void recorder_close(struct recorder *recorder); /* NULL is fine; a run not ended stays open, to be resumed */

/* Where the clock of the run that is to be resumed stands by now, before the start; NaN when it does not say. */
double recorder_gone_by_s(const struct recorder *recorder);
const struct clock *recorder_clock(const struct recorder *recorder);
double recorder_at_s(const struct recorder *recorder,
                     int64_t at_ns);                   /* an instant of its clock, in seconds of the run */
size_t recorder_held(const struct recorder *recorder); /* readings that are not in the book */
size_t recorder_lines(const struct recorder *recorder); /* lines and marks that it was told */
double recorder_line_s(const struct recorder *recorder, size_t line, bool *ret_reading); /* its instant */
int64_t recorder_run(const struct recorder *recorder); /* its number, 0 before the start */
const char *recorder_sample(const struct recorder *recorder);  /* its name as the book has it */
enum test_kind recorder_kind(const struct recorder *recorder); /* that of the run which is resumed */
int64_t recorder_left_open(
    const struct recorder *recorder); /* another run of the sample that is open; 0 none */
bool recorder_takes_input(const struct recorder *recorder);   /* an instrument of the rig is standard input */
size_t recorder_instruments(const struct recorder *recorder); /* that deliver something */

#endif
