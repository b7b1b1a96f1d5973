/* HTTP: a request comes in, a route of the table answers it, a reply goes out. Knows nothing of batteries.
 *
 * What reaches a handler has been checked (serving.h): method and path match its route, the peer may use it, the
 * body is within the route's limit, path and query are decoded, valid UTF-8 and without control characters. A
 * handler runs on a thread of the connection, several at once. */
#ifndef RUNDOWN_HTTP_HTTP_H
#define RUNDOWN_HTTP_HTTP_H

#include "base/json_value.h"
#include "base/status.h"
#include "base/text.h"

#include <stdint.h>

/* Who may ask: anyone, also one who has not paired; whoever may read; whoever may change the book and the bench. */
enum http_role { HTTP_ANYONE, HTTP_READER, HTTP_OPERATOR };

enum { HTTP_PARTS = 4 };

struct http_pair {
    const char *name, *value;
};

struct http_request {
    const char *method;            /* "GET" for HEAD too */
    const char *path;
    const char *parts[HTTP_PARTS]; /* what each {} of the pattern matched, in order; NULL behind the last */
    const struct http_pair *query; /* in order, ended by a name NULL; NULL: none */
    struct span body;              /* empty when it was spooled */
    const char *body_path;         /* HTTP_SPOOL: a file that is removed after the answer, unless renamed */
    enum http_role role;
    const char *session;           /* token of the peer's session; "" without one */
    bool local;                    /* the peer is this machine */
    const char *from;              /* the address of the peer */
    struct http_inside *inside;    /* of the server; NULL in tests of handlers */
};
const char *http_query(const struct http_request *request, const char *name);  /* NULL when absent; borrowed */
const char *http_header(const struct http_request *request, const char *name); /* likewise; name in any case */
/* The peer has what this tag names, and will be answered 304: a body that is dear to make need not be made. */
bool http_has(const struct http_request *request, const char *tag);
/* The number of a query or part; fails as a usage error that names it. NULL text: `otherwise`, unless that is NaN. */
enum status http_number(const char *name, const char *text, double least, double most, double otherwise,
                        double *ret_number, struct message *message);
/* A part that counts something in the book, from 1. */
enum status http_id(const char *text, int64_t *ret_id, struct message *message);
/* The body as a JSON object, or a fault that says what is wrong with it. The caller owns it. */
enum status http_body_json(const struct http_request *request, json_t **ret_object, struct message *message);

/* All zero: 200 with an empty body. */
struct http_reply {
    int status;           /* 0: 200 */
    const char *type;     /* static media type; NULL: application/json */
    struct text body;     /* the server frees it */
    struct span lasting;  /* instead of body: bytes that outlive the server, such as an asset */
    bool apart;           /* a document that stands by itself, with its own styles: no script runs in it */
    bool gzip;            /* these bytes are gzip of what `type` says (every browser takes it) */
    bool kept;            /* may be kept for good: its address holds its version */
    char tag[72];         /* ETag without quotes; "" none. A matching If-None-Match is answered 304 by the server */
    char file_name[160];  /* to be saved under this name; "" shown */
    char cookie[192];     /* Set-Cookie; "" none */
    char allow[64];       /* of 405; the server's */
};
void http_json(struct http_reply *reply, json_t *value); /* takes the value */
/* From now on the peer is who the session says (door.h); "" ends it. */
void http_session(const struct http_request *request, struct http_reply *reply, const char *token);
/* The message as {"fault": {"what", "remedy", "file", "line", "column"}}; `status` 0: by the message's status (400 for
 * what is malformed, 409 where a guess would be needed, 413 too large, 503 where a file cannot be read or written). */
void http_fail(struct http_reply *reply, int status, const struct message *message);
__attribute__((format(printf, 3, 4)))
void http_refuse(struct http_reply *reply, int status, const char *what, ...);

enum http_flag {
    HTTP_PLAIN = 0,
    HTTP_SPOOL = 1,  /* the body goes to a file: uploads */
    HTTP_EVENTS = 2, /* the connection becomes a stream of the server's events (events.h); no handler */
};

struct http_route {
    const char *method;  /* "GET" answers HEAD too; NULL ends the table */
    const char *pattern; /* "/api/samples/{}/label": {} is one segment that is not empty */
    enum http_role role;
    size_t body_limit;   /* bytes; 0: no body */
    enum http_flag flags;
    void (*answer)(void *context, const struct http_request *request, struct http_reply *reply);
};

#endif
