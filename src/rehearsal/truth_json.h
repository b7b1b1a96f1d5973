/* The truth of a rehearsal as JSON; docs/rehearsal.md lists the fields. */
#ifndef RUNDOWN_REHEARSAL_TRUTH_JSON_H
#define RUNDOWN_REHEARSAL_TRUTH_JSON_H

#include "base/text.h"
#include "rehearsal/rehearsal.h"

void truth_json(const struct rehearsal *rehearsal, struct text *text);

#endif
