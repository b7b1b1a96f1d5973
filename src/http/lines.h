/* Lines: the connections, and how long each may take over what it owes.
 *
 * A peer that owes a request head, a body, or the taking of a reply has a deadline: 20 s, and a second more for each
 * LINES_BYTES_S that it moved. A watch shuts down the sockets of those that are late: a peer that sends a byte now
 * and then never counts as idle, and would hold its thread for good. One that went away without a word is given up by
 * the system after the same 20 s (TCP_USER_TIMEOUT). */
#ifndef RUNDOWN_HTTP_LINES_H
#define RUNDOWN_HTTP_LINES_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { LINES_PATIENCE_S = 20, LINES_BYTES_S = 16384, LINES_FROM = 64 };
/* Streams of events, of one address and of all: the rest of the connections stays free for requests. */
enum { LINES_STREAMS_FROM = 48, LINES_STREAMS = 128 };

struct line;
struct lines;

struct lines *lines_new(void); /* with the thread of the watch */
void lines_free(struct lines *lines); /* when no line is left */

struct line *lines_add(struct lines *lines, int fd, const char *from);
void lines_remove(struct lines *lines, struct line *line); /* before its socket is closed */
const char *line_from(const struct line *line);

void lines_owes(struct lines *lines, struct line *line, size_t bytes); /* from now on, that much */
void lines_moved(struct lines *lines, struct line *line, size_t bytes);
void lines_at_ease(struct lines *lines, struct line *line); /* it is our turn */

/* Makes the line a stream until it is removed; false when there are too many. */
bool lines_stream(struct lines *lines, struct line *line);

#endif
