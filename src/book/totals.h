/* Totals: what a stretch of one column comes to, and shorter stretches within it, for totals and charts.
 *
 * Everything here can be recomputed from the blocks. Numbers are in the column's unit as printed. Integrals
 * take the column as straight between neighbouring numbers, over time in seconds (numeric/integrate.h).
 *
 * Kept in the table `summary`, one row a (stream, position, level, seq): a row of level 0 belongs to block
 * `seq` and is cut into cells of BLOCK_CELL readings; a row of level 1 belongs to LEVEL_BLOCKS blocks from
 * seq * LEVEL_BLOCKS on, there only once they all are, and is cut into cells of LEVEL_CELL readings.
 * The cells are a block of their own (book/packed.h), one reading a cell, so that min, max, first and last
 * keep their digits. */
#ifndef RUNDOWN_BOOK_TOTALS_H
#define RUNDOWN_BOOK_TOTALS_H

#include "book/packed.h"

enum { LEVEL_BLOCKS = 64, LEVEL_CELL = 2048 };

/* Of the readings k = 0 … n - 1; NaN marks no number. The times never decrease. */
struct summary summary_of(const double *t_s, const double *values, size_t n);

/* Appends what comes after: also the integral from the last number here to the first one there. */
void summary_join(struct summary *summary, const struct summary *after);

struct summary summary_none(void); /* of no readings; the start of a row of joins */

/* Whether two computations of the same stretch agree: counts and extremes exactly, sums to within what the
 * rounding of their terms can come to (Higham 2002, Accuracy and Stability of Numerical Algorithms, 4.2). */
bool summary_agree(const struct summary *a, const struct summary *b);

#endif
