/* Table: columns sized and rows set into the flow. Inside of `paper`. */
#ifndef RUNDOWN_DRAW_TABLE_H
#define RUNDOWN_DRAW_TABLE_H

#include "draw/flow.h"
#include "draw/paper.h"

struct table_form {
    double size; /* of its letters */
    bool ruled;  /* else there are neither rules nor head, and rows stand closer */
};

/* As paper_table. */
void table_set(struct flow *flow, const struct paper_column *columns, size_t column_count,
               const char *const *cells, size_t row_count, struct table_form form);

#endif
