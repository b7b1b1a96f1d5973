/* Explain: the chain from readings to a number, for one finding, as words (chain.h). */
#ifndef RUNDOWN_REPORT_EXPLAIN_H
#define RUNDOWN_REPORT_EXPLAIN_H

#include "base/text.h"
#include "claims/assessment.h"

/* `finding`: as chain_make takes it. */
enum status explain_finding(const struct assessment *assessment, const char *finding, int width, struct text *text,
                            struct message *message);

#endif
