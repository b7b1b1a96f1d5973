/* CSV: readings as RFC 4180 text, every digit, and back.
 *
 * A first line of names, then one reading a line, each ended by CR LF: time in seconds, then the stream's
 * columns. A number stands as it was printed, with a point; an empty cell is missing, `OL` an overload. A cell
 * in quotes is a text that no decimal holds, kept as it was. */
#ifndef RUNDOWN_ARCHIVE_CSV_H
#define RUNDOWN_ARCHIVE_CSV_H

#include "book/packed.h"
#include "book/stream.h"

void csv_add_header(const struct book_stream *stream, struct text *text);
/* All readings of a block. */
void csv_add_block(const struct block_columns *block, struct text *text);

/* One line, without its end, into cells[c][row]; odd texts are added to `odd`. False when it has not so many
 * columns, or a cell that is none of the above, of which *ret_column then tells (from 1). */
bool csv_take_line(struct span line, int columns, size_t row, struct decimal *const *cells, struct text *odd,
                   int *ret_column);

#endif
