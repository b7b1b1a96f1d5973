/* Table: the verdict as a person reads it on a terminal in ten seconds, then what lies behind it. */
#ifndef RUNDOWN_REPORT_TABLE_H
#define RUNDOWN_REPORT_TABLE_H

#include "base/text.h"
#include "claims/assessment.h"

struct terminal {
    int width;   /* columns; 0: 100 */
    bool colour; /* only on a terminal */
};

/* Summary, one line a claim, how the test went, and the notices. */
void table_assessment(const struct assessment *assessment, const struct terminal *terminal, struct text *text);

/* What each column of each log was taken for, and why. */
void table_columns(const struct assessment *assessment, struct text *text);

/* Words wrapped to `width` with a hanging indent. */
void table_wrap(const char *words, int indent, int width, struct text *text);

#endif
