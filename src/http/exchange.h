/* Exchange: one request and its reply, in the steps in which libmicrohttpd hands it over.
 *
 * The head is judged first; what is refused is refused before its body is read, unless that is short: then it is read
 * and thrown away, so that the peer hears the reason and may go on. */
#ifndef RUNDOWN_HTTP_EXCHANGE_H
#define RUNDOWN_HTTP_EXCHANGE_H

#include "http/guests.h"
#include "http/serving.h"

#include <microhttpd.h>

struct http_server {
    struct http_setup setup;
    struct MHD_Daemon *daemon;
    struct guests *guests;
    int port;
    char machine[65]; /* its name, where it may be used; else "" */
};

/* When the request line is there: what the later steps get. */
void *exchange_begin(void *server, const char *raw_target, struct MHD_Connection *connection);
enum MHD_Result exchange_step(void *server, struct MHD_Connection *connection, const char *path, const char *method,
                              const char *version, const char *bytes, size_t *count, void **exchange);
void exchange_end(void *server, struct MHD_Connection *connection, void **exchange,
                  enum MHD_RequestTerminationCode why);

#endif
