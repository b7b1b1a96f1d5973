/* Door: who may come in.
 *
 * A peer on this machine is an operator. Any other pairs: it gives the reader's or the operator's code (eight
 * characters of an alphabet without look-alikes, made anew at each start and on demand) and gets a session, a random
 * token in a cookie (HttpOnly, SameSite=Strict). Sessions end when unused for 12 h, when ended by hand, and with the
 * server. Wrong codes are slowed and, after 10 from one address within 10 min, refused for 10 min; all comparisons
 * take the same time whatever is wrong. Randomness comes from getrandom(2).
 *
 * The line is plain HTTP: whoever listens on the local network can read along and take over a session. The pages and
 * docs/browser.md say so. */
#ifndef RUNDOWN_HTTP_DOOR_H
#define RUNDOWN_HTTP_DOOR_H

#include "base/clock.h"
#include "http/http.h"

enum { DOOR_CODE = 9, DOOR_TOKEN = 44, DOOR_SESSIONS = 64 };

struct door; /* for several threads */
struct door *door_new(const struct clock *clock);
void door_free(struct door *door);

void door_code(struct door *door, enum http_role role, char ret_code[static DOOR_CODE]);
void door_new_codes(struct door *door); /* those printed before open nothing any more; sessions stay */

/* `from`: the peer's address in words. Fails with what to do. */
enum status door_pair(struct door *door, const char *from, const char *code, char ret_token[static DOOR_TOKEN],
                      enum http_role *ret_role, struct message *message);
/* HTTP_ANYONE when the token is none. Counts as use. */
enum http_role door_role(struct door *door, const char *token);

struct door_session {
    char name[16]; /* by which it can be ended: no part of the token */
    enum http_role role;
    char from[64];
    double unused_s;
};
size_t door_sessions(struct door *door, struct door_session ret_sessions[static DOOR_SESSIONS]);
void door_end(struct door *door, const char *name);
void door_end_token(struct door *door, const char *token);

#endif
