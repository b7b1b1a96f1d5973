/* What the files of the recorder share; for them alone. */
#ifndef RUNDOWN_BENCH_RECORDER_PARTS_H
#define RUNDOWN_BENCH_RECORDER_PARTS_H

#include "bench/held.h"
#include "bench/latest.h"
#include "bench/on_call.h"
#include "bench/recorder.h"
#include "bench/timeline.h"
#include "book/stream.h"
#include "claims/plan.h"

enum { RECORDER_NEWS = 1024, RECORDER_QUEUE = 8192, RECORDER_EVENTS = 20000, RECORDER_TOLD = 64 };

/* An instrument of the rig, as it is recorded. */
struct recorder_source {
    const struct link *link;
    int64_t stream; /* 0: its first readings make it */
    char identity[128];
    struct timeline timeline;
    struct held held;
    size_t readings, garbage;
    size_t lost; /* readings that memory no longer held while the book could not be written */
    double lost_from_s, lost_until_s;
    bool connected, ever, ended; /* connected now; at least once; will say no more */
    bool away;                   /* a gap is open: from its last reading, or from the start, until the next */
    double away_from_s;
    char away_topic[16], away_cause[160];
    bool away_said; /* a call told of it */
    size_t times_away;
    double said_away_s;
    double last_s;               /* stamp of its last reading; NaN: none yet */
    double kept_tie_s;       /* of its timeline, as the book has it; NaN: not at all */
    double arrived_s;            /* when that came, by the run's clock; the start before the first */
    double tally[LINK_CHANNELS]; /* last values of tallies, own unit; NaN */
};

/* A line or mark that was typed. Those of a resumed run, from before, have no text. */
struct typed_line {
    struct reading_now now; /* now.t_s holds for marks too */
    bool reading, taken_back;
    char *text; /* owned */
};

/* An event on its way into the book. The stream may not have a number yet. */
struct held_event {
    struct book_event event;              /* text owned */
    const struct recorder_source *source; /* NULL: the whole run */
};

struct recorder {
    struct recorder_request request; /* its texts are copies */
    struct clock clock;
    struct clock_paced pace;
    struct book *book;
    int64_t sample, run, left_open, rig_document, label_document;
    char sample_name[128];
    struct book_run left; /* to be resumed */
    int lock;
    struct text rig_text, label_text, plan_text;
    char rig_name[128];
    double typed_last_s; /* of the last line typed; NaN: none */
    struct typed_line *typed;
    size_t typed_count, typed_room, typed_before; /* typed_before: of those, from before it was resumed */
    struct rig rig;
    struct label label;
    struct plan plan;
    bool has_label, has_plan;
    struct limits limits;
    struct links links;
    struct runner *runner;
    struct recorder_source *sources;
    struct latest *latest;
    struct watch *watch;
    struct on_call on_call;
    struct news *news; /* RECORDER_NEWS of them */

    int64_t origin_ns;    /* clock.now_ns of the run's zero */
    double from_s;        /* 0; the last reading of a resumed run */
    int64_t utc_ahead_ns; /* UTC less the monotonic clock, when last looked at */
    int64_t commit_due_ns, disk_due_ns;
    double waiting_since_s; /* when the oldest thing not committed came; NaN: all is */
    struct held_event *events;
    size_t event_count, event_room, events_lost;
    bool ended;
    bool busy;                             /* news came faster than they were taken */
    double disk_told_bytes;      /* the next call is below this */
    double size_at_first, looked_first_s; /* bytes of the book when first looked at, and when */
    size_t refused;                        /* commits that failed, one after the other */
    bool said_unwritable;
    int64_t said_unwritable_ns;
    size_t readings;
    struct text odd; /* room for held_block */

    struct call told[RECORDER_TOLD]; /* for the screen, in this turn */
    size_t told_count;
};

/* How the watch of a run begins, before a reading. */
struct watch *recorder_new_watch(const struct recorder *recorder);
/* Remembers what was typed; feeds the watch where the lines are the test. */
struct typed_line *recorder_typed(struct recorder *recorder, const struct instant *instant, double t_s);

extern const char recorder_stopped[]; /* topic of the gap between a crash and its resumption */

double recorder_now_s(const struct recorder *recorder);

/* A call: into the book, to the user's command and to the screen. */
void recorder_call(struct recorder *recorder, const struct call *call);
/* An event for the book; `until_s` NaN but for a gap. */
__attribute__((format(printf, 7, 8))) void recorder_event(struct recorder *recorder, enum event_kind kind,
                                                          const struct recorder_source *source, double t_s,
                                                          double until_s, const char *topic, const char *text,
                                                          ...);

void recorder_hear(struct recorder *recorder, const struct news *news);
void recorder_watch(struct recorder *recorder, const struct reading_now *now);
/* Gaps that are open end here; what was counted is noted. */
void recorder_take_leave(struct recorder *recorder, double at_s);

/* Everything held goes into the book in one transaction, or stays held. */
enum status recorder_commit(struct recorder *recorder, struct message *message);
/* The same when it is due, with what has to be said when it fails. */
void recorder_commit_due(struct recorder *recorder);
/* Of the text by which the book keeps how an instrument's own time is tied to the run's. */
void recorder_tie_topic(const struct recorder_source *source, char *topic, size_t size);
void recorder_note_losses(struct recorder *recorder);
/* The disk and the wall clock. */
void recorder_look_around(struct recorder *recorder);
size_t recorder_cells_left(const struct recorder *recorder);

/* Reads rig, label, plan and limits, from files or from the book. */
enum status recorder_read(struct recorder *recorder, struct message *message);
/* Puts them into the book, and the run; or finds the run that was left open. In a transaction of the caller's. */
enum status recorder_enter(struct recorder *recorder, struct message *message);

#endif
