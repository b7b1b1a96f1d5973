/* Parts of the sheet after the discharge: charge, protections, construction, what was not tested; and what the sheet's
 * own module shares with them. */
#ifndef RUNDOWN_REPORT_SHEET_PARTS_H
#define RUNDOWN_REPORT_SHEET_PARTS_H

#include "report/listing.h"
#include "report/publishing.h"

#define SHEET_COLUMN_GAP 22.0 /* points */

void sheet_pairs(struct paper *paper, const struct listing *rows); /* 2 columns; nothing without rows */

/* What does not go together, claim or item beside it; nothing where there is nothing of the kind. */
void sheet_contradictions(struct paper *paper, const struct assessment *assessment);
/* The tester's own words, marked as such. */
void sheet_opinion(struct paper *paper, const struct assessment *assessment);

void sheet_charges(struct paper *paper, const struct assessment *assessment, const struct publishing *publishing);
void sheet_protections(struct paper *paper, const struct assessment *assessment, const struct publishing *publishing);
/* The opened case item by item, each with its pictures; then the pictures of nothing in it. */
void sheet_construction(struct paper *paper, const struct assessment *assessment, const struct publishing *publishing);
void sheet_untested(struct paper *paper, const struct assessment *assessment);

#endif
