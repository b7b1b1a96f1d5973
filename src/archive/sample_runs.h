/* Sample runs: the runs of a sample that hold readings, by the names under which they are assessed. */
#ifndef RUNDOWN_ARCHIVE_SAMPLE_RUNS_H
#define RUNDOWN_ARCHIVE_SAMPLE_RUNS_H

#include "book/book_run.h"

/* Something came of it: readings, or lines typed. */
bool run_has_readings(const struct book_run *run);

struct sample_runs {
    char **names; /* `BOOK:RUN`, in the order of their start */
    size_t count;
};
/* No run is no fault. */
enum status sample_runs_find(struct book *book, int64_t sample, struct sample_runs *ret_runs, struct message *message);
void sample_runs_free(struct sample_runs *runs);

#endif
