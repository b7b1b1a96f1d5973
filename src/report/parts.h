/* Parts of a verdict: which of them a record speaks to, and how it is called there. Sheet and page follow them, so that
 * both say the same in the same order: capacity, current, charge, protections, construction, conditions, the untested. */
#ifndef RUNDOWN_REPORT_PARTS_H
#define RUNDOWN_REPORT_PARTS_H

#include "report/publishing.h"

enum report_part { PART_CAPACITY, PART_CURRENT, PART_CHARGE, PART_PROTECTIONS, PART_CONDITIONS, PART_OTHER, PARTS };
extern const char *const part_headings[PARTS]; /* "Capacity", … */

/* What the record is first of all, in a word or two: "Discharge", "Charge", "Charge stopped in the cold", "Rest",
 * "Readings". */
const char *part_name_of(const struct assessment *assessment, size_t record);

/* The part that tells all of it: never PART_CURRENT or PART_CONDITIONS. */
enum report_part part_home(const struct assessment *assessment, size_t record);

/* The summary where the contradictions stand by themselves: without those that it begins with. */
const char *part_summary(const struct assessment *assessment);

/* The records that are shown and have something to say in that part, the one that the capacity rests on first. A record
 * that speaks to none of the others is in PART_OTHER. Returns how many; room for all of them. */
size_t part_records(const struct assessment *assessment, const struct publishing *publishing, enum report_part part,
                    size_t *ret_records);

#endif
