/* Parts of the page that have a file of their own. */
#ifndef RUNDOWN_REPORT_PAGE_PARTS_H
#define RUNDOWN_REPORT_PAGE_PARTS_H

#include "draw/figure.h"
#include "report/parts.h"

/* Each claim with its anchor, verdict, interval, reason, what would decide it, and its budget. */
void page_claims(const struct assessment *assessment, const struct publishing *publishing, struct text *html);

/* What the records say in that part; the opened case with its pictures; what was not tested: a section each where there is
 * anything. */
void page_part(const struct assessment *assessment, const struct publishing *publishing, enum report_part part,
               struct text *html);
void page_construction(const struct assessment *assessment, const struct publishing *publishing, struct text *html);
void page_untested(const struct assessment *assessment, struct text *html);

/* One of the two forms of a figure, "wide" or "narrow"; the style shows the one that suits the width. */
void page_form(struct text *html, const struct figure *figure, const char *form, const char *prefix, size_t number);

/* A section's opening: `the-ID`, with a heading. */
void page_section(struct text *html, const char *id, const char *heading);

/* From the files to the readings: what each column was taken for and why, what was left out, what was read by
 * eye, the rig, what was weighed and measured. */
void page_evidence(const struct assessment *assessment, struct text *html);

#endif
