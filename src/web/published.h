/* Published: what a request wants to publish: an assessment, and what was chosen for it. The query names
 * `paper` (a4, letter), `decimal` (point, comma), `without` (parts, as `rundown assess --leave-out` takes them) and
 * `hide` (numbers of runs, parted by commas, that are told by their names alone). */
#ifndef RUNDOWN_WEB_PUBLISHED_H
#define RUNDOWN_WEB_PUBLISHED_H

#include "report/chosen_pictures.h"
#include "web/workshop.h"

struct published {
    struct workshop *workshop;
    struct http_reply *reply;
    int64_t sample;
    const struct assessment *assessment; /* of the workshop */
    struct publishing publishing;
    bool *hide;
    struct chosen_pictures pictures; /* read by published_pictures */
    struct message message; /* of whatever comes next */
};

/* The sample is the first part of the path. True: end it with published_end; else the reply says why not. */
bool published_begin(struct published *published, void *context, const struct http_request *request,
                     struct http_reply *reply);
/* On a fault the reply is its message. */
void published_end(struct published *published, enum status status);

/* Reads the pictures of the sample that are chosen for sheet and page. */
enum status published_pictures(struct published *published);

/* What can be chosen, and how many pages the sheet has as it is chosen. */
json_t *published_json(const struct published *published, int pages);

#endif
