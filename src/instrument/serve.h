/* Serve: the far side of each protocol, an instrument that answers. For rehearsals and tests.
 *
 * A server asks its view for the row that a meter would show now. A view may be dark: a meter powered by a
 * pack that has opened answers nothing, and its connections hang or drop as a real one's do. */
#ifndef RUNDOWN_INSTRUMENT_SERVE_H
#define RUNDOWN_INSTRUMENT_SERVE_H

#include "base/clock.h"
#include "base/decimal.h"
#include "base/status.h"
#include "quantity/channel.h"

#include <stdbool.h>
#include <stddef.h>

enum { SERVE_CHANNELS = 8 };

struct serve_row {
    double time_s;                          /* the meter's own elapsed time */
    struct decimal cells[SERVE_CHANNELS];   /* in the order of serve_view.channels */
};

struct serve_view {
    const char *identity; /* `Invented,Bench meter,0007,1.0` */
    enum channel channels[SERVE_CHANNELS];
    int channel_count;
    /* What is shown now; false while dark. Called from the server's thread; must be safe there. */
    bool (*row)(void *context, struct serve_row *ret_row);
    /* For servers that speak unasked: waits for the next row (the meter's own period), false when there will be
     * none, *ret_dark while dark. */
    bool (*next)(void *context, struct serve_row *ret_row, bool *ret_dark);
    void *context;
};

struct server;

/* Each listens on loopback; port 0 takes a free one, *ret_port says which. docs/instruments.md holds the
 * commands, registers and topics that they answer to. */
enum status serve_scpi(const struct serve_view *view, int port, struct server **ret_server, int *ret_port,
                       struct message *message);
enum status serve_lines(const struct serve_view *view, int port, struct server **ret_server, int *ret_port,
                        struct message *message);
enum status serve_modbus(const struct serve_view *view, int port, struct server **ret_server, int *ret_port,
                         struct message *message);
/* Publishes to a broker that already runs. */
enum status serve_mqtt(const struct serve_view *view, const char *host, int port, const char *topic,
                       struct server **ret_server, struct message *message);
void server_stop(struct server *server); /* joins and frees; NULL is fine */

#endif
