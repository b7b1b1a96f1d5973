/* JSON: the assessment and the plan, for machines. The form is docs/json.md; `form` names its version. */
#ifndef RUNDOWN_REPORT_JSON_H
#define RUNDOWN_REPORT_JSON_H

#include "base/text.h"
#include "claims/assessment.h"
#include "claims/plan.h"

enum { JSON_FORM = 1 };

/* Appends the document and a line end. A number that is not known is null, with `cannot_tell` beside it. */
void json_assessment(const struct assessment *assessment, struct text *text);
void json_plan(const struct plan *plan, struct text *text);

#endif
