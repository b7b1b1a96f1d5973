/* Words that several outputs share. */
#ifndef RUNDOWN_REPORT_WORDS_H
#define RUNDOWN_REPORT_WORDS_H

#include "draw/figure.h"

/* `p 0.993`, `p > 0.999`, `p < 0.001`. */
void words_probability(double probability, char *buffer, size_t size);

/* Breaks words at blanks into at most `limit` lines of the width; the last ends in … when more is left.
 * Returns the number of lines. */
int words_lines(const char *words, struct lettering lettering, double width, char lines[][160], int limit);

#endif
