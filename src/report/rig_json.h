/* Rig as JSON: what its instruments deliver, how well, and what a better one would bring; for pages. */
#ifndef RUNDOWN_REPORT_RIG_JSON_H
#define RUNDOWN_REPORT_RIG_JSON_H

#include "base/json_value.h"
#include "claims/improve.h"
#include "claims/loads.h"
#include "quantity/link.h"

/* "channels": each with accuracy in the file's words, what that means at a usual reading, and whether it is stated;
 * "whole": what holds for the rig as a whole, in words; "instruments": those that are reached, with their channels. */
json_t *json_of_rig(const struct rig *rig, const struct links *links);
json_t *json_of_loads(const struct loads *loads);

/* Each improvement with what it brings in words, and the half-widths of the claims it bears on. */
json_t *json_of_improvements(const struct plan *now, const struct improvements *improvements);

#endif
