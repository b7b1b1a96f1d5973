/* Rests on: what of a book bears on an assessment, in short, so that a kept one can be known as still true. Two equal
 * words mean that nothing has changed that an assessment of the sample or of one of its runs reads. */
#ifndef RUNDOWN_BOOK_RESTS_ON_H
#define RUNDOWN_BOOK_RESTS_ON_H

#include "base/text.h"
#include "book/book.h"

struct rests_on {
    struct text settled; /* the basis of digest.h */
    struct text open;    /* how far the readings of runs have come that are being recorded; "" when none is */
};

/* Of all runs of a sample (run 0), or of one run, whose sample may then be 0. No such sample, or no such run of it, is
 * a fault. */
enum status book_rests_on(struct book *book, int64_t sample, int64_t run, struct rests_on *ret_rests_on,
                          struct message *message);
void rests_on_free(struct rests_on *rests_on);

#endif
