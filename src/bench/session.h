/* Session: a recording on a thread of its own, which any number of others watch and talk to.
 *
 * It is the recorder's (recorder.h) only master: what others ask is handed to its thread. A rehearsal may be served
 * beside it, in this process; it is recorded under a sample whose data are invented, and ends when its program does.
 * What is told outside is told by that thread, without a lock: a listener may ask the session anything but free it. */
#ifndef RUNDOWN_BENCH_SESSION_H
#define RUNDOWN_BENCH_SESSION_H

#include "bench/recorder.h"
#include "bench/rehearsed.h"

enum session_state {
    SESSION_RECORDING,
    SESSION_ENDING,    /* what is held goes into the book, and is tried again while that cannot be written */
    SESSION_JUDGED,    /* the run is closed; `over` is at work on it */
    SESSION_OVER,
    SESSION_LEFT_OPEN, /* given up: the run stays open, what was held is lost */
};
extern const char *const session_state_words[]; /* "recording", "ending", "assessing", "ended", "left open" */

/* Something that was said: a call, or a line or mark that was typed. */
enum said_kind { SAID_CALL, SAID_LINE, SAID_MARK };
struct session_said {
    size_t number; /* from 1; those of a resumed run come first */
    enum said_kind kind;
    struct call call; /* its t_s and text hold for all */
    bool taken_back, ours; /* ours: of this session, so that it can be taken back */
    size_t line;           /* of the recorder; for the session alone */
};
enum { SESSION_SAID = 256 }; /* so many of the latest are remembered */

struct session;

/* Told by the session's thread; any may be NULL. */
struct session_heed {
    void (*seen)(void *context, struct session *session); /* the view or the state is new: at most 20 times a second */
    void (*said)(void *context, struct session *session, const struct session_said *said); /* or took back */
    void (*over)(void *context, struct session *session); /* the run is closed and in the book */
    void *context;
};

struct session_request {
    struct recorder_request recorder; /* copied with its texts; its sample may be NULL for a rehearsal: the pack's name */
    const struct rehearsed_request *rehearsal; /* NULL: in earnest, or what the resumed run was */
    struct session_heed heed;
};

struct session_now {
    enum session_state state;
    struct bench_view view; /* view.forecast is NULL or &forecast of the same struct once session_now has filled it */
    struct forecast forecast;
    char cause[160];        /* of the end; "" before */
    struct message trouble; /* why the end is tried again, or was given up; status OK: none */
    size_t held;            /* readings, then */
};

enum status session_start(const struct session_request *request, struct session **ret_session, struct message *message);
/* Ends it first if it runs, with a few seconds' patience, and waits. NULL is fine. */
void session_free(struct session *session);

void session_now(struct session *session, struct session_now *ret_now);
/* The latest, oldest first. */
size_t session_said(struct session *session, struct session_said ret_said[static SESSION_SAID]);

/* A line or mark whose first key was pressed `ago_s` of the machine ago. */
enum status session_say(struct session *session, const char *line, double ago_s, struct session_said *ret_said,
                        struct message *message);
enum status session_take_back(struct session *session, size_t number, struct message *message);
/* Asks for the end and returns at once; later calls change nothing. */
void session_end(struct session *session, const char *cause);
/* While the end cannot be written: leaves the run open. */
void session_give_up(struct session *session);

int64_t session_run(const struct session *session);
int64_t session_sample(const struct session *session);
const char *session_sample_name(const struct session *session);
enum test_kind session_kind(const struct session *session);
double session_rate(const struct session *session); /* seconds of the run in one of the machine */
bool session_rehearsed(const struct session *session);
bool session_by_eye(const struct session *session); /* no instrument: typed lines are the test */
bool session_invented(const struct session *session);
int64_t session_left_open(const struct session *session); /* another run of the sample that is open; 0 none */

#endif
