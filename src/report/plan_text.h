/* Plan in words: the outlook claim by claim, then the protocol as a list to follow, then cautions. */
#ifndef RUNDOWN_REPORT_PLAN_TEXT_H
#define RUNDOWN_REPORT_PLAN_TEXT_H

#include "base/text.h"
#include "claims/plan.h"

/* `start_clock_s`: seconds of the day at which the base load goes on; NaN: times count from it. */
void plan_words(const struct plan *plan, double start_clock_s, int width, struct text *text);

#endif
