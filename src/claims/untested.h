/* Untested: the parts of a whole test of which the readings and the opened case hold nothing. */
#ifndef RUNDOWN_CLAIMS_UNTESTED_H
#define RUNDOWN_CLAIMS_UNTESTED_H

#include "claims/assessment.h"

enum { UNTESTED_PARTS = 6 };
/* "what it delivers", "its charge", …: each a noun for 'not looked at: …'. Returns how many; the words are static. */
size_t untested_parts(const struct assessment *assessment, const char *ret_parts[static UNTESTED_PARTS]);

#endif
