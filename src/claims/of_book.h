/* Of a book: a sample assessed with the papers and runs that its book holds. */
#ifndef RUNDOWN_CLAIMS_OF_BOOK_H
#define RUNDOWN_CLAIMS_OF_BOOK_H

#include "book/book.h"
#include "claims/assessment.h"

/* All runs of the sample (run 0), or one run: what `rundown assess BOOK --sample NAME` and `rundown assess BOOK:RUN`
 * give. A sample without readings is assessed from its label alone. */
enum status assess_sample(struct book *book, int64_t sample, int64_t run, struct assessment *ret_assessment,
                          struct message *message);

#endif
