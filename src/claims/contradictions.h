/* Contradictions: where what is said of a sample and what was found in it do not go together, or findings do not with
 * each other. They stand first in a verdict, the weightiest first:
 *
 * 1. the label against the opened sample: current (board, leads, bars, fuse), cells, ampere-hours printed on them;
 * 2. capacity or energy that is met by a sample that was not shown to be full: it may hold more;
 * 3. a current that was carried although a part in its path is not made for it;
 * 4. a meter's own tally against the integral of its readings;
 * 5. an ingress code or a case group against the case;
 * 6. the label against itself.
 *
 * A claim that the readings do not meet is a verdict (decide.h) and no contradiction. */
#ifndef RUNDOWN_CLAIMS_CONTRADICTIONS_H
#define RUNDOWN_CLAIMS_CONTRADICTIONS_H

#include "claims/assessment.h"

/* Fills assessment->contradictions. Needs decisions, findings, and the inspection where there is one. */
void contradictions_find(struct assessment *assessment);

#endif
