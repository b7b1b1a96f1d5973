/* Sequence: the integers of one column of a block as bytes, by the codec that takes fewest.
 *
 * A line (constant, or of constant step) is two numbers. Anything else is taken as differences of order 0, 1 or
 * 2, of which each cell of BLOCK_CELL has a base, and what is above the base goes into as few bits as the cell's
 * largest needs, or into planes of bytes that zstd compresses. All arithmetic is modulo 2^64, so that no number
 * is too large. docs/blocks.md is the format. */
#ifndef RUNDOWN_BOOK_SEQUENCE_H
#define RUNDOWN_BOOK_SEQUENCE_H

#include "book/byte_cursor.h"
#include "book/packed.h"

enum { SEQUENCE_CELLS = BLOCK_READINGS / BLOCK_CELL,
       SEQUENCE_BYTES = 64 + SEQUENCE_CELLS * (VARINT_LIMIT + 1) + BLOCK_READINGS * 8 + 8 * VARINT_LIMIT };

struct sequence_space; /* buffers and the compressor's state */
struct sequence_space *sequence_space_new(void);
void sequence_space_free(struct sequence_space *space);

/* 1 <= count <= BLOCK_READINGS. Writes at most SEQUENCE_BYTES; returns how many. */
size_t sequence_pack(const uint64_t *numbers, size_t count, struct sequence_space *space, unsigned char *ret_bytes);

/* False when the bytes are not such a sequence; ret_numbers then holds anything. It has room for BLOCK_READINGS. */
bool sequence_unpack(struct byte_reader *reader, size_t count, struct sequence_space *space, uint64_t *ret_numbers);

#endif
