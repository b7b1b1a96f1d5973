/* Page: the same evidence as one HTML file, without script, for screen and print. */
#ifndef RUNDOWN_REPORT_PAGE_H
#define RUNDOWN_REPORT_PAGE_H

#include "base/text.h"
#include "claims/assessment.h"

void page_html(const struct assessment *assessment, struct text *html);

#endif
