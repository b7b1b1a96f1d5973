/* Book runs: what `rundown assess` needs of a book beside reading its runs. */
#ifndef RUNDOWN_CLI_BOOK_RUNS_H
#define RUNDOWN_CLI_BOOK_RUNS_H

#include "claims/of_book.h"

/* What is assessed of the sample of that name; sample_asked_free. Neither readings nor a label is a fault. */
enum status book_runs_of(const char *path, const char *name, struct sample_asked *ret_asked, struct message *message);

/* Keeps the findings, with the version of the method, beside each run of a book that was assessed. */
enum status book_runs_keep(const struct assessment *assessment, struct message *message);

#endif
