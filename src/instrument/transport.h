/* Transport: lines of text to and from an instrument, however it is reached.
 *
 * A line ends at LF, CR or both; empty ones are passed over. What has come of a line stays until the rest
 * comes. The time of a line is that of the bytes that completed it. A file is followed as another program
 * writes it: when it is replaced by another of its name, what is left of the old one is read first, and when
 * it is cut short, it is read from its start again. */
#ifndef RUNDOWN_INSTRUMENT_TRANSPORT_H
#define RUNDOWN_INSTRUMENT_TRANSPORT_H

#include "base/clock.h"
#include "base/status.h"
#include "instrument/address.h"

enum { TRANSPORT_LINE = 16384 }; /* bytes of the longest line */

struct transport;

enum got {
    GOT_LINE,
    GOT_NOTHING, /* the timeout passed */
    GOT_LONG,    /* a line longer than TRANSPORT_LINE, dropped */
    GOT_HALF,    /* the half of a line before an end, a loss or another file, dropped */
    GOT_END,     /* of standard input */
    GOT_LOST,    /* message says why; stays so */
};

struct line_time {
    int64_t first_ns, complete_ns; /* when its first byte, and its end, had been read */
};

enum status transport_open(const struct address *address, const struct clock *clock, double timeout_s,
                           struct transport **ret_transport, struct message *message);
void transport_close(struct transport *transport); /* NULL is fine */

/* Sends all of it, or fails. */
enum status transport_send(struct transport *transport, struct span bytes, struct message *message);

/* The next line without its end, borrowed until the next call. Waits at most `timeout_s` of the clock; a USBTMC
 * device, which the kernel reads in one piece, for the timeout it was opened with. */
enum got transport_line(struct transport *transport, double timeout_s, struct span *ret_line,
                        struct line_time *ret_time, struct message *message);

/* Drops what has come so far. Of a file: goes to its end. Returns whether what comes next is known to begin a
 * line. */
bool transport_discard(struct transport *transport);

#endif
