/* Guide sheet: one printed page a test, with boxes to tick and room for the time of each step. */
#ifndef RUNDOWN_REPORT_GUIDE_SHEET_H
#define RUNDOWN_REPORT_GUIDE_SHEET_H

#include "claims/guide.h"
#include "draw/paper.h"

enum status guide_sheet_render(const struct guide *guide, enum paper_size size, struct text *ret_pdf, struct message *message);

#endif
