/* Totals: what a stretch of one column comes to, and shorter stretches within it, for totals and charts.
 *
 * Everything here can be recomputed from the blocks. Numbers are in the column's unit as printed. Integrals
 * take the column as straight between neighbouring numbers, over time in seconds (numeric/integrate.h).
 *
 * Kept in the table `summary`, one row a (stream, position, level, seq): a row of level 0 belongs to block
 * `seq` and is cut into cells of BLOCK_CELL readings; a row of level 1 belongs to LEVEL_BLOCKS blocks from
 * seq * LEVEL_BLOCKS on, there only once they all are, and is cut into cells of LEVEL_CELLS cells of level 0.
 * The cells are a block of their own (book/packed.h), one reading a cell and one column a field, so that they
 * keep their digits; of time (position 0) it has the first two fields only. Pure: no SQL, no I/O. */
#ifndef RUNDOWN_BOOK_TOTALS_H
#define RUNDOWN_BOOK_TOTALS_H

#include "book/packed.h"
#include "quantity/unit.h"

enum { LEVEL_BLOCKS = 64, LEVEL_CELLS = 8, CELLS_LIMIT = BLOCK_READINGS / BLOCK_CELL * LEVEL_BLOCKS / LEVEL_CELLS };

/* Of the readings k = 0 … n - 1; NaN marks no number. The times never decrease. */
struct summary summary_of(const double *t_s, const double *values, size_t n);

/* Appends what comes after: also the integral from the last number here to the first one there. */
void summary_join(struct summary *summary, const struct summary *after);

struct summary summary_none(void); /* of no readings; the start of a row of joins */

/* The same in the own unit. */
struct summary summary_own(struct summary summary, const struct unit *unit);

/* Whether two computations of the same stretch agree: counts and extremes exactly, sums to within what the
 * rounding of their terms can come to (Higham 2002, Accuracy and Stability of Numerical Algorithms, 4.2). */
bool summary_agree(const struct summary *a, const struct summary *b);

/* FIRST and LAST are of the cell's numbers, missing when it has none; of time: from and to. */
enum cell_field { CELL_FIRST, CELL_LAST, CELL_MIN, CELL_MAX, CELL_NUMBERS, CELL_FIELDS };
struct cells {
    size_t count;
    struct decimal field[CELL_FIELDS][CELLS_LIMIT];
};

/* Column `position` of a block whose times are t_s: its summary, and its cells. */
struct summary cells_of(const struct block_columns *block, const double *t_s, int position, struct cells *ret_cells);

/* Appends cells that join LEVEL_CELLS each of `finer`; fails when they come to more than CELLS_LIMIT. */
enum status cells_coarsen(const struct cells *finer, struct cells *cells, struct message *message);

enum status cells_pack(const struct cells *cells, int position, struct block_workspace *workspace,
                       struct text *ret_bytes, struct message *message);
enum status cells_unpack(struct span bytes, int position, struct block_workspace *workspace,
                         struct cells *ret_cells, struct message *message);
/* The same as doubles, NaN where there is none. */
enum status cells_values(struct span bytes, int position, struct block_workspace *workspace,
                         double ret_field[static CELL_FIELDS][CELLS_LIMIT], size_t *ret_count,
                         struct message *message);

#endif
