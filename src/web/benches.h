/* Benches: the recordings of the workshop, each a session (bench/session.h), and what the pages are told of them.
 *
 * Events: "live" {"recording": RUN, "state", and the keys of docs/recording.md}, at most 20 a second for each; "call"
 * and, for lines and marks that are typed or taken back, "said": {"recording": RUN, "t_s", "text", …}. At its end a run
 * is assessed and the finding kept, as `rundown record` does. */
#ifndef RUNDOWN_WEB_BENCHES_H
#define RUNDOWN_WEB_BENCHES_H

#include "bench/session.h"
#include "web/workshop.h"

struct benches;

struct benches *benches_new(struct workshop *workshop); /* borrowed */
void benches_free(struct benches *benches);             /* ends all, and waits; NULL is fine */

/* Its `heed` is filled here. */
enum status benches_start(struct benches *benches, struct session_request *request, int64_t *ret_run,
                          struct message *message);
/* The session of a run, which stays until it is put back; NULL when there is none. */
struct session *benches_take(struct benches *benches, int64_t run);
void benches_put(struct benches *benches, struct session *session);
/* Whether it is being recorded now. */
bool benches_record(struct benches *benches, int64_t run);
/* Of the latest, newest first. */
enum { BENCHES_KEPT = 32 };
size_t benches_runs(struct benches *benches, int64_t ret_runs[static BENCHES_KEPT]);

/* The state of one, as the pages have it; `whole`: with what was said, and what does not change. */
json_t *benches_json(struct session *session, bool whole);

json_t *benches_said_json(const struct session_said *said);

#endif
