/* Plan in words: the outlook claim by claim, then the protocol as a list to follow, then cautions. */
#ifndef RUNDOWN_REPORT_PLAN_TEXT_H
#define RUNDOWN_REPORT_PLAN_TEXT_H

#include "base/text.h"
#include "claims/plan.h"

/* Where no start is chosen, times count from switching the base load on. */
void plan_words(const struct plan *plan, int width, struct text *text);

/* `14:05 ± 8 min`, or `+2:26 ± 8 min` where no start is chosen. */
void plan_when(const struct plan *plan, const struct plan_step *step, char *buffer, size_t size);

#endif
