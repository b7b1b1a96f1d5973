/* Guests: the connections, and how long each may take over what it owes.
 *
 * A peer that owes a request head, a body, or the taking of a reply has a deadline: the patience, 20 s unless a test
 * wants less, and a second more for each GUESTS_BYTES_S that it moved. A watch shuts down the sockets of those that are late: a peer that sends a byte now
 * and then never counts as idle, and would hold its thread for good. One that went away without a word is given up by
 * the system after the same time (TCP_USER_TIMEOUT). */
#ifndef RUNDOWN_HTTP_GUESTS_H
#define RUNDOWN_HTTP_GUESTS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { GUESTS_PATIENCE_MS = 20000, GUESTS_BYTES_S = 16384, GUESTS_FROM = 64 };
/* Streams of events, of one address and of all: the rest of the connections stays free for requests. */
enum { GUESTS_STREAMS_FROM = 48, GUESTS_STREAMS = 128 };

struct guest;
struct guests;

struct guests *guests_new(int patience_ms); /* with the thread of the watch; NULL when there is none to be had */
void guests_free(struct guests *guests); /* when no guest is left */

struct guest *guests_add(struct guests *guests, int fd, const char *from);
void guests_remove(struct guests *guests, struct guest *guest); /* before its socket is closed */
const char *guest_from(const struct guest *guest);

void guests_owe(struct guests *guests, struct guest *guest, size_t bytes); /* from now on, that much */
void guests_moved(struct guests *guests, struct guest *guest, size_t bytes);
void guests_at_ease(struct guests *guests, struct guest *guest); /* it is our turn */

/* The peer has closed its end: nobody reads what a stream would say. */
bool guest_is_gone(const struct guest *guest);

/* Makes the guest a stream until it is removed; false when there are too many. */
bool guests_stream(struct guests *guests, struct guest *guest);

#endif
