/* The family of a log's data lines: the largest number of lines that are alike in kind, cell by cell
 * (numbers, times, words; an empty cell fits anything), under whichever delimiter and decimal sign leaves
 * most of their cells readable. */
#ifndef RUNDOWN_INTAKE_LOG_FAMILY_H
#define RUNDOWN_INTAKE_LOG_FAMILY_H

#include "base/text.h"

enum { LAYOUT_COLUMNS = 512 };

/* A line with its place. */
struct log_line {
    struct span text;
    long number; /* from 1 */
};

struct log_family {
    char delimiter, decimal;
    size_t size, first;    /* lines; the first of them; size is 0 when there is no such family */
    size_t columns, cells; /* cells of most lines, without and with empty ones at the end */
    double score;          /* readable cells less cells of words, over all its lines */
};

struct log_family log_family_find(const struct log_line *lines, size_t count);

/* n: number, t: time or date, e: empty or a mark for a missing number, w: words. */
char log_cell_kind(struct span cell, char decimal);

#endif
