/* Codes taken: the codes of cells are read off all pictures of a sample and put into the newest version of its paper of
 * what was seen, each below the picture that it was read off. What was typed there stays. */
#ifndef RUNDOWN_REPORT_CODES_TAKEN_H
#define RUNDOWN_REPORT_CODES_TAKEN_H

#include "book/sample.h"

struct codes_taken {
    size_t pictures, read, added; /* pictures looked at, codes of cells on them, and how many of these are new */
};

/* A new version is kept only where there is something to add; a sample without a paper gets one. */
enum status codes_take(struct book *book, const struct book_sample *sample, int64_t utc_ns, struct codes_taken *ret_taken,
                       struct message *message);

#endif
