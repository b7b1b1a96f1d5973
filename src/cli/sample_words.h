/* What `rundown sample` prints, as words and as JSON (docs/book.md). */
#ifndef RUNDOWN_CLI_SAMPLE_WORDS_H
#define RUNDOWN_CLI_SAMPLE_WORDS_H

#include "base/text.h"
#include "book/correction.h"
#include "book/sample.h"

/* All that the book holds of one sample but the readings. */
enum status sample_show_text(struct book *book, const struct book_sample *sample, bool json, struct text *text,
                             struct message *message);

/* As `rundown run` shows them too. */
void corrections_words(const struct correction_list *list, struct text *text);

#endif
