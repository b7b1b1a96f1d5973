/* What every server of serve.h begins with. */
#ifndef RUNDOWN_INSTRUMENT_SERVER_H
#define RUNDOWN_INSTRUMENT_SERVER_H

#include "instrument/serve.h"

struct server {
    void (*stop)(struct server *server); /* ends its thread and frees it */
};

/* Listens on loopback without blocking; port 0 takes a free one. */
enum status server_listen(int port, int *ret_fd, int *ret_port, struct message *message);

#endif
