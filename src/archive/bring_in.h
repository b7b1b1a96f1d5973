/* Bring in: a log, or readings typed by eye, becomes a run of a sample, together with the papers of the test: all of
 * it, or nothing. The one way in for `rundown import` and for what is dropped on a page. */
#ifndef RUNDOWN_ARCHIVE_BRING_IN_H
#define RUNDOWN_ARCHIVE_BRING_IN_H

#include "archive/stored.h"

/* A paper as typed, which its reader has taken; `name` NULL: none. */
struct bring_paper {
    const char *name;
    struct span text;
};

struct bring_in {
    const char *sample;            /* made when the book has none of that name; NULL: stored.run.sample is the one */
    struct bring_paper label, rig; /* kept as the newest version of the sample's label, of the workshop's rig of that name */
    struct stored_request stored;  /* added_utc_ns is when */
};

/* `log` NULL: `path` is a file of typed readings. ret_run gets the run's and the sample's number with the rest as
 * asked. */
enum status bring_in(struct book *book, const struct bring_in *request, const struct log *log, const char *path,
                     struct book_run *ret_run, struct message *message);

#endif
