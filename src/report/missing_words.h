/* Missing in words: what a verdict still lacks (claims/missing.h), for a terminal and for programs. */
#ifndef RUNDOWN_REPORT_MISSING_WORDS_H
#define RUNDOWN_REPORT_MISSING_WORDS_H

#include "base/json_value.h"
#include "claims/missing.h"

void missing_print(const struct assessment *assessment, int width, struct text *text);

/* As docs/json.md has it; `comma`: the decimal sign of the words. Handed over. */
json_t *json_missing(const struct assessment *assessment, bool comma);

#endif
