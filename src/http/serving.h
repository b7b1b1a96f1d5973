/* Serving: libmicrohttpd behind one table of routes.
 *
 * Refused before a handler is reached: a Host that is not one of the server's own names and addresses (against
 * DNS rebinding), a request that changes something without an Origin of ours or with Sec-Fetch-Site of another site,
 * methods and paths that are not in the table (405 with Allow, 404), `..`, NUL and control characters in a path,
 * bodies over the route's limit (413, and the line is dropped), peers that may not (401 to pair, 403). A peer that
 * is slow or half-open is dropped after 20 s (guests.h); one address holds at most 96 connections, all together 256.
 *
 * Every reply carries a strict Content-Security-Policy (everything from here, no inline script, no frames around),
 * nosniff, no-referrer, and `no-store` unless it is kept or has a tag. */
#ifndef RUNDOWN_HTTP_SERVING_H
#define RUNDOWN_HTTP_SERVING_H

#include "http/addresses.h"
#include "http/door.h"
#include "http/events.h"

/* All borrowed until server_close. */
struct http_setup {
    const struct http_route *const *tables; /* ended by NULL; the first route that matches answers */
    void *context;                          /* for the handlers */
    struct events *events;
    struct door *door;
    const char *spool;  /* folder for uploads, on the disk of the book */
    bool share;         /* listen on every IPv4 address; else on loopback alone */
    int port;           /* 0: a free one */
    int patience_ms;    /* 0: 20 s */
};

struct http_server;

enum status http_open(const struct http_setup *setup, struct http_server **ret_server, struct message *message);
int http_port(const struct http_server *server);
/* Addresses of this machine on its local networks by which it is reached when shared, most likely first. */
size_t http_addresses(const struct http_server *server, char (*ret_addresses)[ADDRESS], size_t room);
/* Of a request, for its handler; NULL and false in tests of handlers. */
const struct http_server *http_server_of(const struct http_request *request);
bool http_is_shared(const struct http_request *request);
/* Takes no more requests, ends the streams, waits for the handlers; then frees. NULL is fine. */
void http_close(struct http_server *server);

#endif
