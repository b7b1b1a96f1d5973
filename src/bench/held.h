/* Held: readings that have come and are not yet in the book, in memory of a stated bound.
 *
 * As columns of decimals, time first, so that they go into a stream as they lie. */
#ifndef RUNDOWN_BENCH_HELD_H
#define RUNDOWN_BENCH_HELD_H

#include "book/packed.h"
#include "quantity/link.h"

/* Cells of all sources together: 64 MiB, an hour and more of the fastest bench. */
enum { HELD_CELLS_AT_MOST = 4 << 20 };

struct held {
    int columns; /* time and the channels */
    size_t count, room;
    struct decimal *cells[BLOCK_COLUMNS];
    struct held_odd {
        size_t reading;
        char text[64];
    } * odd; /* texts of odd cells, in order */
    size_t odd_count, odd_room;
};

struct held held_new(int channels);
void held_free(struct held *held);
/* False, and nothing was taken, when `cells_left` (what the bound still allows, over all sources) or the
 * machine's memory does not hold it. */
bool held_add(struct held *held, struct decimal time, const struct decimal *cells, const char *odd,
              size_t cells_left);
size_t held_cells(const struct held *held);
/* Readings `from` and up to BLOCK_READINGS after it; its texts are put into `odd`, which must outlive it. */
struct block_columns held_block(const struct held *held, size_t from, struct text *odd);
/* All of them are in the book. Memory that a long trouble took is given back. */
void held_clear(struct held *held);

#endif
