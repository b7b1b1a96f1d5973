/* Cautions: said where the work is planned or published, and always the same. */
#ifndef RUNDOWN_REPORT_CAUTIONS_H
#define RUNDOWN_REPORT_CAUTIONS_H

#include "claims/plan.h"

/* Sentences, ended by NULL. */
extern const char *const cautions[];

/* The one that matters when that step of a plan is about to be done; NULL: none. */
const char *caution_of(enum plan_act act);

#endif
