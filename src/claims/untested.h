/* Untested: the parts of a whole test of which the readings, the opened case and what somebody noted hold nothing. */
#ifndef RUNDOWN_CLAIMS_UNTESTED_H
#define RUNDOWN_CLAIMS_UNTESTED_H

#include "base/text.h"
#include "claims/assessment.h"

/* Adds sentences, each with a blank after it: "Not tested: its charge; its protections against an empty cell and too much
 * current. It was not opened. ". Nothing where nothing is left. A claim about a part that was decided, or noted, takes the
 * part off the list. */
void untested_say(const struct assessment *assessment, struct text *text);

#endif
