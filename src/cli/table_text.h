/* Table text: a listing as lines on a terminal, its columns as wide as their widest cell. */
#ifndef RUNDOWN_CLI_TABLE_TEXT_H
#define RUNDOWN_CLI_TABLE_TEXT_H

#include "base/text.h"
#include "report/listing.h"

/* Each line begins with `indent` blanks; two blanks stand between columns, none at the end of a line. At most 16 columns. */
void table_text(const struct listing *listing, int indent, struct text *text);

#endif
