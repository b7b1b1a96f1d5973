/* Events: news for pages, as Server-Sent Events (WHATWG HTML, "Server-sent events").
 *
 * A ring of the latest; every reader has its own place in it. A reader that was away names the last it has heard
 * (Last-Event-ID) and gets what followed; where the ring does not reach back so far, or the server was started
 * anew, it first gets an event `reload`: read everything afresh. A slow reader never holds up a publisher. */
#ifndef RUNDOWN_HTTP_EVENTS_H
#define RUNDOWN_HTTP_EVENTS_H

#include "base/text.h"

#include <stdint.h>

struct events;

/* `epoch` stands in each id, so that those of another start are known as such. */
struct events *events_new(size_t room, uint64_t epoch);
void events_free(struct events *events);

/* From any thread. `topic`: a static word such as "live", "book", "task"; `data`: one line, JSON. Copied. */
void events_publish(struct events *events, const char *topic, struct span data);

/* Wakes every reader and lets none wait any more: at the end. */
void events_close(struct events *events);

/* A reader's place. `topics`: wanted words parted by commas, NULL or "": all. `last_id`: as it came, "" for none. */
struct events_place {
    uint64_t next;
    bool reload;  /* to be told first */
    char topics[128];
};
void events_enter(struct events *events, const char *topics, const char *last_id, struct events_place *ret_place);
/* Appends what is due to the reader, in the form of the wire; waits at most `wait_ms` for it. False once closed. */
bool events_next(struct events *events, struct events_place *place, int wait_ms, struct text *wire);
/* Appends an event `here` with the id of what the reader has heard of: at the beginning, and when nothing else came for
 * a while. Both ends see that the line stands, and a reader who wants little does not seem to have fallen behind. */
void events_here(struct events *events, const struct events_place *place, struct text *wire);

#endif
