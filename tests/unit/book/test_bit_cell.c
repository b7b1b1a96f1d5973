#include "check.h"

#include "book/bit_cell.h"

#include <string.h>

static uint64_t next(uint64_t *state)
{
    *state ^= *state << 13; /* xorshift64 (Marsaglia 2003, J. Stat. Softw. 8:14) */
    *state ^= *state >> 7;
    return *state ^= *state << 17;
}

TEST(round_trip_of_every_width_and_count)
{
    static const size_t counts[] = {1, 2, 3, 4, 5, 63, 64, 65, 127, 200, 255, 256};
    uint64_t state = 20261125;
    for (unsigned width = 0; width <= 64; width++)
        for (size_t c = 0; c < sizeof counts / sizeof *counts; c++) {
            uint64_t number[BLOCK_CELL] = {0}, back[BLOCK_CELL];
            for (size_t k = 0; k < counts[c]; k++)
                number[k] = width > 0 ? next(&state) >> (64 - width) : 0;
            unsigned char bytes[CELL_BYTES + 1];
            size_t size = bit_cell_size(counts[c], width);
            bool fits = size <= CELL_BYTES;
            CHECK(fits);
            if (!fits)
                continue;
            bytes[size] = 0xA5; /* a guard: nothing is written past the size */
            bit_cell_pack(number, counts[c], width, bytes);
            CHECK(bytes[size] == 0xA5);
            bit_cell_unpack(bytes, counts[c], width, back);
            CHECK(memcmp(number, back, counts[c] * sizeof *number) == 0);
        }
}

/* By hand from the format: 5 numbers of 3 bits, the fifth above the first in lane 0. */
TEST(the_bytes_themselves)
{
    uint64_t number[BLOCK_CELL] = {5, 1, 7, 2, 6};
    unsigned char bytes[CELL_BYTES];
    CHECK(bit_cell_size(5, 3) == 32);
    bit_cell_pack(number, 5, 3, bytes);
    CHECK(bytes[0] == (5 | 6 << 3) && bytes[8] == 1 && bytes[16] == 7 && bytes[24] == 2);
    CHECK(bytes[1] == 0 && bytes[31] == 0);
    CHECK(bit_cell_size(256, 11) == 352 && bit_cell_size(256, 0) == 0);
}
