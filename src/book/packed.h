/* Packed: a block, a stretch of one stream's readings as bytes, every digit exact, with a checksum.
 *
 * Columns of decimals; time first. For each column the cheapest of a few codecs is taken, told by a byte:
 * a line (constant, regular time), bit-packed differences, byte planes with zstd (sequence.h). Decimals and kinds
 * (missing, overload) have sequences of their own that cost nothing where they do not change. Pure: no SQL, no
 * I/O. docs/blocks.md is the format, byte by byte; a second decoder in the tests reads by that page alone. */
#ifndef RUNDOWN_BOOK_PACKED_H
#define RUNDOWN_BOOK_PACKED_H

#include "base/decimal.h"
#include "base/status.h"
#include "base/text.h"

enum { BLOCK_READINGS = 16384, BLOCK_CELL = 256, BLOCK_COLUMNS = 33 };

/* Column 0 is time in seconds. Rows of times never decrease. */
struct block_columns {
    size_t count;                            /* readings, at most BLOCK_READINGS */
    int columns;
    const struct decimal *cells[BLOCK_COLUMNS];
    const char *odd; /* texts of DECIMAL_ODD cells, row by row, each ended by '\n'; NULL: none */
};

/* What a stretch of one column comes to, in the column's own unit as printed (before link scaling). */
struct summary {
    int64_t count, numbers;        /* readings; those that are numbers */
    double first, last, min, max;  /* of the numbers; NaN when there are none */
    double first_s, last_s;        /* when these were read */
    double sum;
    double integral;               /* over time in s, piecewise linear, across neighbouring numbers */
};

struct block_workspace; /* reused; its size does not depend on the data */
struct block_workspace *block_workspace_new(void);
void block_workspace_free(struct block_workspace *workspace);

/* A cell that is missing, overload or odd comes back without mantissa and decimals: it had no digits. */
enum status block_pack(const struct block_columns *columns, struct block_workspace *workspace,
                       struct text *ret_bytes, struct message *message); /* replaces ret_bytes */

/* How many readings the head tells of, at most BLOCK_READINGS; 0 when there is no head. Nothing else is looked at. */
size_t block_readings(struct span bytes);

/* The times of a block in seconds; the array is the workspace's, and stands until block_trace. */
const double *block_times(const struct block_columns *columns, struct block_workspace *workspace);

/* Bytes that are no block, or not the ones written, give STATUS_UNREADABLE; the arrays then hold anything.
 * Fills cells[c][0..count); each array has room for BLOCK_READINGS. A NULL column is skipped; a wanted column that
 * the block does not have is an error. ret_odd may be NULL. */
enum status block_unpack(struct span bytes, struct block_workspace *workspace,
                         struct decimal *const cells[static BLOCK_COLUMNS], size_t *ret_count, struct text *ret_odd,
                         struct message *message);
/* The same as doubles (decimal_value), in one go and fast; NaN where there is no number. */
enum status block_values(struct span bytes, struct block_workspace *workspace,
                         double *const values[static BLOCK_COLUMNS], size_t *ret_count, struct message *message);
/* Time and one column; the arrays are the workspace's, until it is used again. */
enum status block_trace(struct span bytes, struct block_workspace *workspace, int column, const double **ret_t_s,
                        const double **ret_values, size_t *ret_count, struct message *message);

#endif
