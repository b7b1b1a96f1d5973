/* Recompute: the command that makes the same assessment again from the same files. */
#ifndef RUNDOWN_CLAIMS_RECOMPUTE_H
#define RUNDOWN_CLAIMS_RECOMPUTE_H

#include "claims/assessment.h"

/* Names files without their folders: the sheet is published, the tester's disk is not. Says everything that
 * bears on the result and nothing that only asks for an output. */
void recompute_command(const struct assess_request *request, struct text *command);

#endif
