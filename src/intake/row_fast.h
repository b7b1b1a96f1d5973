/* The fast way for lines of plain decimals; see row.h. */
#ifndef RUNDOWN_INTAKE_ROW_FAST_H
#define RUNDOWN_INTAKE_ROW_FAST_H

#include "intake/row.h"

/* Can any line of this log go the fast way: numbers only, one byte between them? */
bool row_is_fast(const struct row_plan *plan);

/* Takes line after line; stops at `end` or before the first line that is not plain. */
const char *row_fast(const struct row_plan *plan, const char *p, const char *end, struct row_sink *sink);

#endif
