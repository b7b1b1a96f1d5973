/* Terminal: the verdict as a person reads it on a terminal in ten seconds, then what lies behind it. */
#ifndef RUNDOWN_REPORT_TERMINAL_H
#define RUNDOWN_REPORT_TERMINAL_H

#include "base/text.h"
#include "claims/assessment.h"

struct terminal_form {
    int width;   /* columns; 0: 100 */
    bool colour; /* only on a terminal */
};

/* The claims by their verdict, a line each and the reason under those that are open or fail; how each test
 * went; the notices. */
void terminal_assessment(const struct assessment *assessment, const struct terminal_form *form, struct text *text);

/* What each column of each log was taken for, and why, and the rows that were left out: the first one, or
 * with `all` as many as the reader listed. */
void terminal_columns(const struct assessment *assessment, bool all, struct text *text);

#endif
