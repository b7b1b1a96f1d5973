/* Guides in words and as JSON: the sheets of claims/guide.h for a terminal, a program and a page. */
#ifndef RUNDOWN_REPORT_GUIDE_WORDS_H
#define RUNDOWN_REPORT_GUIDE_WORDS_H

#include "base/json_value.h"
#include "base/text.h"
#include "claims/guide.h"

void guide_words(const struct guide *guide, int width, struct text *text);
json_t *guide_json(const struct guide *guide);

/* Every sheet in a line, with the claims of the label that it tests; why there is none for a short circuit. */
void guides_words(const struct label *label, int width, struct text *text);
json_t *guides_json(const struct label *label);

#endif
