/* Page: the same evidence as one HTML file, without script, for screen and print. */
#ifndef RUNDOWN_REPORT_PAGE_H
#define RUNDOWN_REPORT_PAGE_H

#include "report/publishing.h"

void page_html(const struct assessment *assessment, const struct publishing *publishing, struct text *html);

#endif
