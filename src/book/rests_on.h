/* Rests on: what of a book bears on an assessment, in short, so that a kept one can be known as still true.
 *
 * Two equal words mean that nothing has changed that an assessment of the sample or run reads: the runs there are,
 * their facts, the label as it stands now, rigs, readings, marks, texts. */
#ifndef RUNDOWN_BOOK_RESTS_ON_H
#define RUNDOWN_BOOK_RESTS_ON_H

#include "base/text.h"
#include "book/book.h"

struct rests_on {
    struct text settled; /* all but what runs that are being recorded have read so far */
    struct text open;    /* that; "" when none is open */
};

/* Of all runs of a sample (run 0), or of one run, whose sample may then be 0. No such sample, or no such run of it, is
 * a fault. */
enum status book_rests_on(struct book *book, int64_t sample, int64_t run, struct rests_on *ret_rests_on,
                          struct message *message);
void rests_on_free(struct rests_on *rests_on);

#endif
