/* Bit cell: up to BLOCK_CELL unsigned numbers of one width, packed.
 *
 * Number k goes to lane k % 4. A lane is a string of bits from the lowest up, cut into 64-bit words; word j of
 * lane l is the little-endian word 4 j + l. So a machine's wide instructions take four numbers at once, with one
 * shift for all. A full cell takes 32 * width bytes. */
#ifndef RUNDOWN_BOOK_BIT_CELL_H
#define RUNDOWN_BOOK_BIT_CELL_H

#include "book/packed.h"

enum { CELL_LANES = 4, CELL_BYTES = 32 * 64 };

size_t bit_cell_size(size_t count, unsigned width); /* bytes */

/* `numbers` holds BLOCK_CELL, zeros from `count` on, each below 2^width. Writes bit_cell_size bytes. */
void bit_cell_pack(const uint64_t numbers[static BLOCK_CELL], size_t count, unsigned width, unsigned char *ret_bytes);

/* Width at most 64. Reads bit_cell_size bytes. What it writes from `count` on has no meaning. */
void bit_cell_unpack(const unsigned char *bytes, size_t count, unsigned width,
                     uint64_t ret_numbers[static BLOCK_CELL]);

#endif
