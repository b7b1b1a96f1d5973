/* What `rundown run` prints, as words and as JSON (docs/book.md). */
#ifndef RUNDOWN_CLI_RUN_WORDS_H
#define RUNDOWN_CLI_RUN_WORDS_H

#include "base/json_value.h"
#include "book/book_run.h"
#include "book/sample.h"

/* With the samples' names when `samples` is not NULL. */
void run_list_words(const struct book_run_list *runs, const struct book_sample_list *samples, int indent,
                    struct text *text);
json_t *run_list_json(const struct book_run_list *runs, const struct book_sample_list *samples);

/* All that the book holds of one run; of the readings what they come to. */
enum status run_show_text(struct book *book, const struct book_run *run, bool json, struct text *text,
                          struct message *message);

#endif
