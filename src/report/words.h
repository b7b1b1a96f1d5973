/* Words that several outputs share. */
#ifndef RUNDOWN_REPORT_WORDS_H
#define RUNDOWN_REPORT_WORDS_H

#include <stddef.h>

/* `p 0.993`, `p > 0.999`, `p < 0.001`. */
void words_probability(double probability, char *buffer, size_t size);

#endif
