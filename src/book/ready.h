/* Ready: a block packed and summarised, apart from the book and on any thread, so that a long log is put in as
 * fast as all processors pack it. Pure, as packed.h and totals.h are. */
#ifndef RUNDOWN_BOOK_READY_H
#define RUNDOWN_BOOK_READY_H

#include "book/totals.h"

struct ready_block {
    size_t count;
    int columns; /* with time */
    double from_s, to_s;
    struct text bytes;
    struct summary summary[BLOCK_COLUMNS];
    struct text cells[BLOCK_COLUMNS]; /* packed */
};

/* Overwrites what the block held; `cells` is scratch. ready_free what a zeroed or filled one owns. */
enum status ready_make(const struct block_columns *block, struct block_workspace *workspace,
                       struct cells *cells, struct ready_block *ready, struct message *message);
void ready_free(struct ready_block *ready);

/* As stream_fill of stream.h. */
struct book;
enum status stream_fill_ready(struct book *book, int64_t stream, const struct ready_block *block,
                              struct message *message);

#endif
