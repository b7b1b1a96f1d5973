/* Foresee: what a planned test will be able to say about one claim. Used by plan.c only. */
#ifndef RUNDOWN_CLAIMS_FORESEE_H
#define RUNDOWN_CLAIMS_FORESEE_H

#include "claims/plan.h"

/* Needs the plan's draws; everything else is the label's and the rig's. */
struct prospect foresee(const struct label *label, const struct claim *claim, const struct rig *rig,
                        const struct plan *plan);

#endif
