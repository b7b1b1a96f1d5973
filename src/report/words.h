/* Words that several outputs share. */
#ifndef RUNDOWN_REPORT_WORDS_H
#define RUNDOWN_REPORT_WORDS_H

#include "claims/decide.h"

/* `p 0.993`, `p > 0.999`, `p < 0.001`; "" where none applies, as where the conditions of the test keep a claim open
 * that its value would decide. */
void words_probability(const struct decision *decision, char *buffer, size_t size);

#endif
