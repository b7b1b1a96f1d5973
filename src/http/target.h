/* Target: what a request line asks for (RFC 9112 3.2.1, RFC 3986), taken apart and decoded once.
 *
 * Split first, decoded afterwards: an encoded slash never makes a segment. Refused: what is not of the origin form,
 * an encoded slash, `.` and `..` as segments, control characters, bytes that are no UTF-8, a broken %, more than
 * TARGET_SEGMENTS segments or TARGET_PAIRS of the query. */
#ifndef RUNDOWN_HTTP_TARGET_H
#define RUNDOWN_HTTP_TARGET_H

#include "http/http.h"

enum { TARGET_SEGMENTS = 12, TARGET_PAIRS = 24 };

/* Everything points into `decoded`. */
struct target {
    char *decoded;
    const char *path;                          /* "/api/runs/3" */
    const char *segments[TARGET_SEGMENTS + 1]; /* "api", "runs", "3", NULL; none for "/", an empty one for each // */
    struct http_pair query[TARGET_PAIRS + 1];  /* a name without = has the value "" */
};

enum status target_read(const char *raw, struct target *ret_target, struct message *message);
void target_free(struct target *target);

#endif
