/* Sheet: two printed pages that can be published and disputed. */
#ifndef RUNDOWN_REPORT_SHEET_H
#define RUNDOWN_REPORT_SHEET_H

#include "claims/assessment.h"
#include "draw/paper.h"

enum status sheet_write(const struct assessment *assessment, enum paper_size size, const char *path,
                        struct message *message);

#endif
