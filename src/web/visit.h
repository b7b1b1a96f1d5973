/* Visit: what most handlers begin and end with: a handle of the book, and the sample or run that the path names. A
 * fault on the way is the reply. */
#ifndef RUNDOWN_WEB_VISIT_H
#define RUNDOWN_WEB_VISIT_H

#include "book/book_run.h"
#include "web/workshop.h"

struct visit {
    struct workshop *workshop;
    const struct http_request *request;
    struct http_reply *reply;
    struct book *book;
    struct book_sample sample;
    struct message message; /* of whatever comes next */
};

/* True: end it with visit_end. `context` is the workshop, as handlers have it. */
bool visit_begin(struct visit *visit, void *context, const struct http_request *request, struct http_reply *reply,
                 enum book_access access);
/* Likewise, and the first part of the path is the number of a sample; 404 where there is none. */
bool visit_sample(struct visit *visit, void *context, const struct http_request *request, struct http_reply *reply,
                  enum book_access access);
/* On a fault the reply is its message. */
void visit_end(struct visit *visit, enum status status);

/* The reply's tag, from its body: a browser asks each time, and is answered 304 where it has the same. A number in an
 * address is not the same thing in another book. */
void visit_tag(struct http_reply *reply);

#endif
