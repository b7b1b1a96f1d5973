/* Lines: words laid out on a terminal. Widths and indents count characters. */
#ifndef RUNDOWN_REPORT_LINES_H
#define RUNDOWN_REPORT_LINES_H

#include "base/text.h"
#include "report/listing.h"

/* Words wrapped at blanks, from a line that already holds `indent` characters; ends the line. */
void lines_wrap(const char *words, int indent, int width, struct text *text);

/* A label in a column of its own, and words wrapped beside it. */
void lines_row(const char *label, const char *words, int width, struct text *text);

/* Rows in columns, two blanks further in than the margin; the last column is wrapped. The emphasis marks of
 * draw/paper.h are left out. */
void lines_listing(const struct listing *rows, int width, struct text *text);

/* A table of claims: name, what is stated, what was found. What is too long for its column is cut and ends
 * in …, except what was found. */
struct claim_columns {
    int name, stated, found;
};
void lines_make_room(const char *name, const char *stated, const char *found, struct claim_columns *columns);
void lines_fit(int width, struct claim_columns *columns); /* takes from `stated` what the width does not hold */
void lines_claim(const char *name, const char *stated, const char *found, const char *tail,
                 const struct claim_columns *columns, struct text *text);

#endif
