/* Terminal: the verdict as a person reads it on a terminal in ten seconds, then what lies behind it. */
#ifndef RUNDOWN_REPORT_TERMINAL_H
#define RUNDOWN_REPORT_TERMINAL_H

#include "base/text.h"
#include "claims/assessment.h"

struct terminal_form {
    int width;   /* columns; 0: 100 */
    bool colour; /* only on a terminal */
};

/* Summary, one line a claim, how the test went, and the notices. */
void terminal_assessment(const struct assessment *assessment, const struct terminal_form *form, struct text *text);

/* What each column of each log was taken for, and why. */
void terminal_columns(const struct assessment *assessment, struct text *text);

/* Words wrapped to `width` with a hanging indent. */
void terminal_wrap(const char *words, int indent, int width, struct text *text);

#endif
