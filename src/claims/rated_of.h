/* Rated of: what an inspection of the opened sample is held against, from its label and from what was weighed. */
#ifndef RUNDOWN_CLAIMS_RATED_OF_H
#define RUNDOWN_CLAIMS_RATED_OF_H

#include "claims/label.h"
#include "teardown/inspection.h"

struct rated rated_of(const struct label *label);

#endif
