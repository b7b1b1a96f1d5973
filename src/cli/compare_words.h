/* What `rundown compare` prints: a column a sample, a row a quantity, then where the tests were not alike. */
#ifndef RUNDOWN_CLI_COMPARE_WORDS_H
#define RUNDOWN_CLI_COMPARE_WORDS_H

#include "report/compare.h"

void compare_text(const struct compare *compare, struct text *text);

#endif
