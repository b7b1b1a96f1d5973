/* Opened words: an opened sample on a terminal, item by item, then what to look at next. */
#ifndef RUNDOWN_CLI_OPENED_WORDS_H
#define RUNDOWN_CLI_OPENED_WORDS_H

#include "base/text.h"
#include "teardown/inspection.h"

void opened_words(const struct opened *opened, const struct inspection *inspection, int width, struct text *text);

#endif
