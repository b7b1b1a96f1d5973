#include "book/bit_cell.h"

#include "base/wide.h"
#include "book/byte_cursor.h"

static size_t positions(size_t count)
{
    return (count + CELL_LANES - 1) / CELL_LANES;
}

size_t bit_cell_size(size_t count, unsigned width)
{
    return (positions(count) * width + 63) / 64 * CELL_LANES * sizeof(uint64_t);
}

WIDE void bit_cell_pack(const uint64_t numbers[static BLOCK_CELL], size_t count, unsigned width, unsigned char *ret_bytes)
{
    uint64_t word[CELL_LANES] = {0}; /* the one being filled */
    unsigned filled = 0;
    unsigned char *p = ret_bytes;
    for (size_t k = 0; k < positions(count) && width > 0; k++) {
        const uint64_t *number = numbers + k * CELL_LANES;
        for (int lane = 0; lane < CELL_LANES; lane++)
            word[lane] |= number[lane] << filled;
        filled += width;
        if (filled < 64)
            continue;
        for (int lane = 0; lane < CELL_LANES; lane++, p += sizeof(uint64_t))
            store_u64(p, word[lane]);
        filled -= 64;
        for (int lane = 0; lane < CELL_LANES; lane++)
            word[lane] = filled > 0 ? number[lane] >> (width - filled) : 0;
    }
    for (int lane = 0; lane < CELL_LANES && filled > 0; lane++, p += sizeof(uint64_t))
        store_u64(p, word[lane]);
}

WIDE void bit_cell_unpack(const unsigned char *bytes, size_t count, unsigned width,
                     uint64_t ret_numbers[static BLOCK_CELL])
{
    uint64_t words[CELL_LANES * 65]; /* one more of each lane, so that no number needs a look at the end */
    size_t size = bit_cell_size(count, width);
    for (size_t k = 0; k < size / sizeof(uint64_t); k++)
        words[k] = load_u64(bytes + k * sizeof(uint64_t));
    memset(words + size / sizeof(uint64_t), 0, CELL_LANES * sizeof(uint64_t));
    uint64_t mask = width < 64 ? (UINT64_C(1) << width) - 1 : UINT64_MAX;
    for (size_t k = 0; k < positions(count); k++) {
        unsigned shift = k * width % 64;
        const uint64_t *low = words + k * width / 64 * CELL_LANES;
        uint64_t *number = ret_numbers + k * CELL_LANES;
        if (shift + width <= 64) {
            for (int lane = 0; lane < CELL_LANES; lane++)
                number[lane] = low[lane] >> shift & mask;
        } else {
            for (int lane = 0; lane < CELL_LANES; lane++)
                number[lane] = (low[lane] >> shift | low[CELL_LANES + lane] << (64 - shift)) & mask;
        }
    }
}
