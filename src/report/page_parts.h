/* Parts of the page that have a file of their own. */
#ifndef RUNDOWN_REPORT_PAGE_PARTS_H
#define RUNDOWN_REPORT_PAGE_PARTS_H

#include "report/publishing.h"

/* Each claim with its anchor, verdict, interval, reason, what would decide it, and its budget. */
void page_claims(const struct assessment *assessment, const struct publishing *publishing, struct text *html);

/* From the files to the readings: what each column was taken for and why, what was left out, what was read by
 * eye, the rig, what was weighed and measured. */
void page_evidence(const struct assessment *assessment, struct text *html);

#endif
