/* Contradictions: where what is said of a sample and what was found in it do not go together, or findings do not with
 * each other. They stand first in a verdict, the weightiest first:
 *
 * 1. the label against the opened sample: current (board, leads, bars, fuse), cells, ampere-hours and chemistry printed
 *    on them;
 * 2. a charge that went on beyond the temperature at which the label says that it stops;
 * 3. capacity or energy that is met by a sample that was not shown to be full: it may hold more;
 * 4. a current that was carried although a part in its path is not made for it;
 * 5. two findings of one thing: a meter's own tally and the integral of its readings, more charge out than in, mass or
 *    sides noted twice, a cell made after its test;
 * 6. an ingress code or a case group against the case;
 * 7. the label against itself.
 *
 * A claim that the readings do not meet is a verdict (decide.h) and no contradiction. */
#ifndef RUNDOWN_CLAIMS_CONTRADICTIONS_H
#define RUNDOWN_CLAIMS_CONTRADICTIONS_H

#include "claims/assessment.h"

/* Fills assessment->contradictions. Needs decisions, findings, and the inspection where there is one. */
void contradictions_find(struct assessment *assessment);

#endif
