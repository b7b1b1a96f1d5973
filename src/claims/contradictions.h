/* Contradictions: where what is said of a sample and what was found in it do not go together, or findings do not with
 * each other. They stand first in a verdict: a capacity that was met by a pack not shown to be full, a label that says
 * more amps than the board's print, a lead too thin for the claim, a claimed ingress code beside an open vent. */
#ifndef RUNDOWN_CLAIMS_CONTRADICTIONS_H
#define RUNDOWN_CLAIMS_CONTRADICTIONS_H

#include "claims/assessment.h"

/* Fills assessment->contradictions. Needs decisions, findings, and the inspection where there is one. */
void contradictions_find(struct assessment *assessment);

#endif
