/* Web: a book served to browsers, until it is told to stop. main.c hands it to the command `open`. */
#ifndef RUNDOWN_WEB_WEB_H
#define RUNDOWN_WEB_WEB_H

#include "base/status.h"
#include <stdbool.h>

struct web_request {
    const char *book;
    bool share;   /* to the local network, with pairing */
    int port;     /* 0: a free one; -1: the book's usual one, or a free one */
    bool browser; /* open one where there is a display */
    bool quiet;   /* print addresses and codes alone */
};

/* Prints where it serves, serves until SIGINT or SIGTERM, ends what runs. A second one of the same book prints the
 * address of the first and fails. */
enum status web_serve(const struct web_request *request, struct message *message);

#endif
