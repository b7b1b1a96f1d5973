/* Driver: how one kind of instrument is spoken to. A small table of functions; readings are pushed up.
 *
 * A driver knows its protocol and nothing of batteries, books or other drivers. It owns one connection,
 * lives on one thread (instrument/runner.h) and never sleeps longer than the timeout it is handed. It
 * never invents: a channel that was not heard anew is DECIMAL_MISSING, and what arrives as text keeps its
 * digits. */
#ifndef RUNDOWN_INSTRUMENT_DRIVER_H
#define RUNDOWN_INSTRUMENT_DRIVER_H

#include "base/clock.h"
#include "base/decimal.h"
#include "base/status.h"
#include "quantity/link.h"

/* One instant of one instrument: whatever it said then, in the order of link.channels. */
struct arrival {
    int64_t at_ns;       /* clock.now_ns: the middle of the exchange, or when the line was complete */
    int64_t within_ns;   /* half of the exchange: the instant is at_ns ± within_ns */
    struct decimal time; /* the instrument's own elapsed time, when link.own_time; else missing */
    struct decimal cells[LINK_CHANNELS];
    char odd[64];        /* text of the first DECIMAL_ODD cell, "" when there is none */
};

enum heard {
    HEARD_READING, /* *ret_arrival is filled */
    HEARD_NOTHING, /* the timeout passed, or no reading was due yet */
    HEARD_GARBAGE, /* something that is no reading; message says what, the connection stands */
    HEARD_LOST,    /* the connection is gone or the instrument silent beyond its timeout; message says why */
    HEARD_END,     /* there is no more (end of a replay or of standard input) */
};

struct driver {
    const char *name;  /* as in `driver = NAME` */
    const char *about; /* one line for `rundown instruments` */
    /* Checks the link's settings and channel sources without touching anything outside. `ret_state` is owned
     * by the driver until `free`. */
    enum status (*prepare)(const struct link *link, const struct clock *clock, void **ret_state,
                           struct message *message);
    /* Opens, identifies, configures. May be called again after HEARD_LOST. `ret_identity` (128 bytes) gets what
     * the instrument calls itself, "" when it does not say. */
    enum status (*connect)(void *state, char *ret_identity, struct message *message);
    /* Polls once, or waits for what comes, for at most `timeout_s` of the clock; link.timeout_s longer where an
     * exchange cannot be left half done, or an instrument is asked what went wrong. */
    enum heard (*hear)(void *state, double timeout_s, struct arrival *ret_arrival, struct message *message);
    void (*disconnect)(void *state);
    void (*free)(void *state);
};

/* The drivers of this folder, ended by NULL. A higher floor may bring more (a replay out of the book). */
extern const struct driver *const drivers[];
const struct driver *driver_find(const struct driver *const *among, const char *name); /* NULL for none */

#endif
