/* Explain: the chain from readings to a number, for one finding. */
#ifndef RUNDOWN_REPORT_EXPLAIN_H
#define RUNDOWN_REPORT_EXPLAIN_H

#include "base/text.h"
#include "claims/assessment.h"

/* `finding`: a claim's slug or name, or one of charge, energy, mean-voltage, resistance, burst, load, ending,
 * tally, conditions, rate; of each log. Where the label has a claim of that name the claim is explained. A
 * name that is neither is a usage error that lists them. */
enum status explain_finding(const struct assessment *assessment, const char *finding, int width, struct text *text,
                            struct message *message);

/* Indices of the parts, by falling share; share is u²/Σu². Returns the count. */
int budget_order(const struct measure *measure, int ret_order[MEASURE_PARTS], double ret_share[MEASURE_PARTS]);

#endif
