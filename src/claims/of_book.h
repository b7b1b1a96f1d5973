/* Of a book: a sample assessed with the papers and runs that its book holds. */
#ifndef RUNDOWN_CLAIMS_OF_BOOK_H
#define RUNDOWN_CLAIMS_OF_BOOK_H

#include "archive/sample_runs.h"
#include "book/sample.h"
#include "claims/assessment.h"

/* All runs of the sample (run 0), or one run: what `rundown assess BOOK --sample NAME` and `rundown assess BOOK:RUN`
 * give. A sample without readings is assessed from its label alone. */
enum status assess_sample(struct book *book, int64_t sample, int64_t run, struct assessment *ret_assessment,
                          struct message *message);

/* What is asked with for all of a sample: its runs that hold readings, or without any its label; what was seen in it
 * once it was opened; the tester's own summary. */
struct sample_asked {
    struct book_sample sample;
    struct sample_runs runs;
    char book[1024];
    struct document label; /* id 0: there is none, or there are runs */
    struct document opened, summary; /* id 0: none */
};
enum status sample_asked_find(struct book *book, int64_t sample, struct sample_asked *ret_asked,
                              struct message *message);
/* Into a request, which borrows them; papers it names stand before the book's. */
void sample_asked_put(const struct sample_asked *asked, struct assess_request *request);
void sample_asked_free(struct sample_asked *asked);

#endif
