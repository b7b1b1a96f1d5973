/* Published: what a request wants to publish: an assessment, and what was chosen for it. The query names
 * `paper` (a4, letter), `decimal` (point, comma), `without` (parts, as `rundown assess --leave-out` takes them) and
 * `hide` (numbers of runs, parted by commas, that are told by their names alone). */
#ifndef RUNDOWN_WEB_PUBLISHED_H
#define RUNDOWN_WEB_PUBLISHED_H

#include "book/picture.h"
#include "report/publishing.h"
#include "web/workshop.h"

struct published {
    struct workshop *workshop;
    struct http_reply *reply;
    int64_t sample;
    const struct assessment *assessment; /* of the workshop */
    struct publishing publishing;
    bool *hide;
    struct picture *pictures; /* of the sample, read by published_pictures */
    struct publishing_picture *shown;
    struct message message; /* of whatever comes next */
};

/* The sample is the first part of the path. True: end it with published_end; else the reply says why not. */
bool published_begin(struct published *published, void *context, const struct http_request *request,
                     struct http_reply *reply);
/* On a fault the reply is its message. */
void published_end(struct published *published, enum status status);

/* Reads the pictures of the sample that a page can show, as far as 32 MB hold them. */
enum status published_pictures(struct published *published);

/* What can be chosen, and how many pages the sheet has as it is chosen. */
json_t *published_json(const struct published *published, int pages);

#endif
