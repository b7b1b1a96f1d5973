/* What the files of the session share; for them alone. */
#ifndef RUNDOWN_BENCH_SESSION_PARTS_H
#define RUNDOWN_BENCH_SESSION_PARTS_H

#include "bench/session.h"

#include <pthread.h>

enum { SESSION_TEXTS = 64 };

/* What somebody asks of the session's thread; lies on the asker's stack. */
struct session_asked {
    struct session_asked *next;
    const char *line; /* NULL: to take back */
    int64_t pressed_ns; /* of the machine */
    size_t number;
    bool done;
    struct session_said said;
    struct message message; /* status OK: done */
};

struct session {
    struct session_heed heed;
    char *texts[SESSION_TEXTS]; /* of the request */
    size_t text_count;
    const char *limits[SESSION_TEXTS / 2];
    struct rehearsed *rehearsed;
    struct recorder *recorder; /* both are closed by the thread at the end */
    int64_t run, sample, left_open;
    char sample_name[128];
    double rate;
    enum test_kind kind;
    bool is_rehearsed, by_eye, invented;

    pthread_t thread;
    pthread_mutex_t lock; /* of all below */
    pthread_cond_t answered;
    struct session_asked *first, **last;
    bool deaf; /* nothing can be asked any more */
    bool end_asked, given_up, closing;
    int closing_tries;
    struct session_now now;
    struct session_said said[SESSION_SAID]; /* number n lies at n % SESSION_SAID */
    size_t said_count;

    /* of the thread alone */
    struct bench_view seen;
    bool dirty;
    int64_t seen_at_ns;
    struct clock machine;
};

/* Numbers it and remembers it; under the lock, or before there is a thread. */
void session_remember(struct session *session, struct session_said *said);
/* Opens the rehearsal, where there is one, and the recorder, and begins the run or goes on with it. */
enum status session_begin(struct session *session, const struct session_request *from, struct message *message);

#endif
