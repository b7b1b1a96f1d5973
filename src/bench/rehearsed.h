/* Rehearsed: a rehearsal served inside this process, for a recording of it.
 *
 * What it is of goes into the book with its run, as JSON under a topic, so that a recording that a crash stopped can go
 * on: the invented pack has gone on meanwhile, as a real one would. The truth goes there too, to be told after the end. */
#ifndef RUNDOWN_BENCH_REHEARSED_H
#define RUNDOWN_BENCH_REHEARSED_H

#include "base/json_value.h"
#include "base/text.h"

struct rehearsed;

struct rehearsed_request {
    const char *name;   /* of the script, for messages */
    struct span script; /* p NULL: the one that is played when none is given */
    double seed;        /* NaN: the script's own */
    double speed;       /* times faster than life, 1 to 10000 */
};

extern const char rehearsed_topic[], rehearsed_truth_topic[]; /* of book_run_text_put */

enum status rehearsed_open(const struct rehearsed_request *request, struct rehearsed **ret_rehearsed,
                           struct message *message);
/* So much of it has gone by already; before anybody asks a meter. */
void rehearsed_go_on(struct rehearsed *rehearsed, double gone_by_s);
void rehearsed_close(struct rehearsed *rehearsed); /* NULL is fine */

const char *rehearsed_name(const struct rehearsed *rehearsed); /* of the invented pack */
const char *rehearsed_rig_name(const struct rehearsed *rehearsed);
struct span rehearsed_rig(const struct rehearsed *rehearsed);
struct span rehearsed_label(const struct rehearsed *rehearsed);
bool rehearsed_over(const struct rehearsed *rehearsed);
void rehearsed_truth(const struct rehearsed *rehearsed, struct text *text);

/* What to keep, and back: the request's texts are borrowed from the value. */
json_t *rehearsed_json(const struct rehearsed *rehearsed);
enum status rehearsed_of_json(const json_t *value, struct rehearsed_request *ret_request, struct message *message);

#endif
