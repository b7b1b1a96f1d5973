/* Layout: how a log is laid out, found from its first stretch.
 *
 * The lines of data are the largest family of lines alike in kind, cell by cell (numbers, times, words;
 * an empty cell fits anything), under whichever delimiter and decimal sign makes most of their cells
 * readable. What stands before the family is the preamble; the header is the line there that names most
 * columns, and a row of units may follow it. */
#ifndef RUNDOWN_INTAKE_LOG_LAYOUT_H
#define RUNDOWN_INTAKE_LOG_LAYOUT_H

#include "base/status.h"
#include "intake/log_family.h"
#include "intake/source.h"

enum { LAYOUT_LINES = 400 };

struct log_layout {
    char *head; /* owned: the stretch the spans below point into */
    char newline, delimiter, decimal;
    size_t data_offset; /* of the first data row */
    long data_line;
    struct log_line *lines; /* preamble, then data */
    size_t line_count, preamble_count;
    size_t columns, cells; /* of most rows, without and with empty cells at the end */
    size_t strays;         /* preamble lines with two numbers or more */
    size_t header_columns; /* likewise of the header, 0 when there is none */
    int header, units;     /* index into lines, -1 when there is none */
    char (*names)[96];     /* [columns], "" when there is none */
    char (*units_below)[16];
};

enum status log_layout_find(const struct source *source, struct log_layout *ret_layout,
                            struct message *message);
void log_layout_free(struct log_layout *layout);

/* The cells of a line, at most LAYOUT_COLUMNS. */
size_t log_layout_cells(const struct log_layout *layout, const struct log_line *line, struct span *cells);

/* A line that is the header, the units row or another preamble line once more. */
bool log_layout_repeats(const struct log_layout *layout, struct span line);

/* A line that starts with a comment sign. */
bool log_layout_is_comment(struct span line);

#endif
