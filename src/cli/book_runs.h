/* Book runs: what `rundown assess` needs of a book beside reading its runs. */
#ifndef RUNDOWN_CLI_BOOK_RUNS_H
#define RUNDOWN_CLI_BOOK_RUNS_H

#include "claims/assessment.h"

/* The runs of the sample of that name that hold readings, as `BOOK:RUN`, in the order of their start: `ret_names` gets at most
 * `room` of them, owned. None at all is a fault. */
enum status book_runs_of(const char *path, const char *name, char **ret_names, size_t room, size_t *ret_count,
                         struct message *message);

/* Keeps the findings, with the version of the method, beside each run of a book that was assessed. */
enum status book_runs_keep(const struct assessment *assessment, struct message *message);

#endif
