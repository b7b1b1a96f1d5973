/* Table: columns sized and rows set into the flow. Inside of `paper`. */
#ifndef RUNDOWN_DRAW_TABLE_H
#define RUNDOWN_DRAW_TABLE_H

#include "draw/flow.h"
#include "draw/paper.h"

/* As paper_table; without `ruled` there are neither rules nor head, and rows stand closer. */
void table_set(struct flow *flow, const struct paper_column *columns, size_t column_count,
               const char *const *cells, size_t row_count, bool ruled);

#endif
