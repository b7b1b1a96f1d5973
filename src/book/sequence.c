#include "book/sequence.h"

#include "base/memory.h"
#include "base/wide.h"
#include "book/bit_cell.h"

#include <zstd.h>

enum codec { CODEC_LINE, CODEC_BITS, CODEC_PLANES };
enum { ORDERS = 3, ORDER_SHIFT = 4, PLANES = 8, SAMPLED_CELLS = 8, ZSTD_LEVEL = 1, ZSTD_MATCH = 7, PLANES_FROM = 1024,
       PLANES_GAIN = 8 /* planes are slower: taken where they save an eighth */ };

struct sequence_space {
    uint64_t difference[BLOCK_READINGS + BLOCK_CELL]; /* zeros follow the last, up to a whole cell */
    uint64_t base[SEQUENCE_CELLS];
    unsigned char width[SEQUENCE_CELLS];
    unsigned char plane[PLANES][BLOCK_READINGS];
    ZSTD_CCtx *compressor;
    ZSTD_DCtx *decompressor;
};

struct sequence_space *sequence_space_new(void)
{
    struct sequence_space *space = memory_get(sizeof *space);
    space->compressor = ZSTD_createCCtx();
    space->decompressor = ZSTD_createDCtx();
    if (space->compressor == NULL || space->decompressor == NULL)
        memory_get(SIZE_MAX); /* out of memory: ends there, and says so */
    ZSTD_CCtx_setParameter(space->compressor, ZSTD_c_compressionLevel, ZSTD_LEVEL);
    ZSTD_CCtx_setParameter(space->compressor, ZSTD_c_minMatch, ZSTD_MATCH); /* noise has short matches, all costly */
    return space;
}

void sequence_space_free(struct sequence_space *space)
{
    if (space == NULL)
        return;
    ZSTD_freeCCtx(space->compressor);
    ZSTD_freeDCtx(space->decompressor);
    free(space);
}

static size_t cells_in(size_t count)
{
    return (count + BLOCK_CELL - 1) / BLOCK_CELL;
}

static size_t cell_count(size_t count, size_t cell)
{
    size_t left = count - cell * BLOCK_CELL;
    return left < BLOCK_CELL ? left : BLOCK_CELL;
}

static unsigned bits_of(uint64_t number)
{
    return number == 0 ? 0 : 64 - (unsigned)__builtin_clzll(number);
}

/* What the steps of up to a cell have other than `step`. */
WIDE static uint64_t other_steps(const uint64_t *numbers, size_t count, uint64_t step)
{
    uint64_t other = 0;
    for (size_t k = 0; k + 1 < count; k++)
        other |= (numbers[k + 1] - numbers[k]) ^ step;
    return other;
}

static bool is_line(const uint64_t *numbers, size_t count)
{
    uint64_t step = count > 1 ? numbers[1] - numbers[0] : 0, other = 0;
    for (size_t k = 0; k + 1 < count && other == 0; k += BLOCK_CELL)
        other = other_steps(numbers + k, count - k < BLOCK_CELL + 1 ? count - k : BLOCK_CELL + 1, step);
    return other == 0;
}

struct range {
    int64_t least, most;
};

WIDE static struct range range_of(const uint64_t *numbers, size_t count)
{
    struct range range = {INT64_MAX, INT64_MIN};
    for (size_t k = 0; k < count; k++) {
        int64_t number = (int64_t)numbers[k];
        range.least = number < range.least ? number : range.least;
        range.most = number > range.most ? number : range.most;
    }
    return range;
}

static unsigned width_of(struct range range)
{
    return range.most < range.least ? 0 : bits_of((uint64_t)range.most - (uint64_t)range.least);
}

/* Differences of numbers that have `order` others before them. */
WIDE static void inner_differences(const uint64_t *v, size_t count, int order, uint64_t *ret_difference)
{
    if (order == 0)
        memcpy(ret_difference, v, count * sizeof *v);
    else if (order == 1)
        for (size_t k = 0; k < count; k++)
            ret_difference[k] = v[k] - (v - 1)[k];
    else
        for (size_t k = 0; k < count; k++)
            ret_difference[k] = v[k] - 2 * (v - 1)[k] + (v - 2)[k];
}

/* Bits that the differences of the sampled cells need. */
static size_t cost_of_order(const uint64_t *numbers, size_t count, int order)
{
    size_t cells = cells_in(count), stride = (cells + SAMPLED_CELLS - 1) / SAMPLED_CELLS, cost = 0;
    for (size_t cell = 0; cell < cells; cell += stride) {
        uint64_t difference[BLOCK_CELL];
        size_t skipped = cell == 0 ? (size_t)order : 0, n = cell_count(count, cell);
        if (n <= skipped)
            continue;
        inner_differences(numbers + cell * BLOCK_CELL + skipped, n - skipped, order, difference);
        cost += width_of(range_of(difference, n - skipped)) * n;
    }
    return cost;
}

static int cheapest_order(const uint64_t *numbers, size_t count)
{
    int best = 0;
    size_t least = SIZE_MAX;
    for (int order = 0; order < ORDERS; order++) {
        size_t cost = cost_of_order(numbers, count, order);
        if (cost < least)
            best = order, least = cost;
    }
    return best;
}

/* What stands before the first number, so that every difference is of two numbers: the line through the first two. */
static void starts_of(const uint64_t *numbers, int order, uint64_t ret_start[2])
{
    uint64_t step = numbers[1] - numbers[0];
    ret_start[0] = numbers[0] - step;
    ret_start[1] = step;
    if (order == 0)
        ret_start[0] = ret_start[1] = 0;
}

static void take_differences(const uint64_t *v, size_t count, int order, const uint64_t start[2],
                             uint64_t *ret_difference)
{
    if (order == 1)
        ret_difference[0] = v[0] - start[0];
    if (order == 2) {
        ret_difference[0] = v[0] - start[0] - start[1];
        ret_difference[1] = v[1] - 2 * v[0] + start[0];
    }
    inner_differences(v + order, count - (size_t)order, order, ret_difference + order);
}

static void add_differences(uint64_t *v, size_t count, int order, const uint64_t start[2])
{
    uint64_t last = start[0], step = start[1];
    if (order == 1)
        for (size_t k = 0; k < count; k++)
            v[k] = last += v[k];
    if (order == 2)
        for (size_t k = 0; k < count; k++)
            v[k] = last += step += v[k];
}

/* Bases and widths of the cells; the differences become what is above the base. Returns the largest width. */
static unsigned take_bases(struct sequence_space *space, size_t count)
{
    unsigned largest = 0;
    for (size_t cell = 0; cell < cells_in(count); cell++) {
        uint64_t *d = space->difference + cell * BLOCK_CELL;
        size_t n = cell_count(count, cell);
        struct range range = range_of(d, n);
        for (size_t k = 0; k < n; k++)
            d[k] -= (uint64_t)range.least;
        space->base[cell] = (uint64_t)range.least;
        space->width[cell] = (unsigned char)width_of(range);
        largest = space->width[cell] > largest ? space->width[cell] : largest;
    }
    memset(space->difference + count, 0, (BLOCK_CELL - 1) * sizeof *space->difference);
    return largest;
}

static unsigned char *write_head(unsigned char *p, enum codec codec, int order, const uint64_t start[2])
{
    *p++ = (unsigned char)(codec | (unsigned)order << ORDER_SHIFT);
    for (int k = 0; k < order; k++)
        p = write_varint(p, zigzag(start[k]));
    return p;
}

/* The cells' packed bits alone. */
static size_t bits_size(const struct sequence_space *space, size_t count)
{
    size_t size = 0;
    for (size_t cell = 0; cell < cells_in(count); cell++)
        size += bit_cell_size(cell_count(count, cell), space->width[cell]);
    return size;
}

static size_t write_bits(const struct sequence_space *space, size_t count, int order, const uint64_t start[2],
                         unsigned char *ret_bytes)
{
    unsigned char *p = write_head(ret_bytes, CODEC_BITS, order, start);
    uint64_t before = 0;
    for (size_t cell = 0; cell < cells_in(count); cell++) {
        p = write_varint(p, zigzag(space->base[cell] - before));
        *p++ = space->width[cell];
        before = space->base[cell];
    }
    for (size_t cell = 0; cell < cells_in(count); cell++) {
        size_t n = cell_count(count, cell);
        bit_cell_pack(space->difference + cell * BLOCK_CELL, n, space->width[cell], p);
        p += bit_cell_size(n, space->width[cell]);
    }
    return (size_t)(p - ret_bytes);
}

/* A plane takes its own bytes where zstd does not make it smaller; 0 when all together exceeds `limit`. */
static size_t write_planes(struct sequence_space *space, size_t count, int order, const uint64_t start[2],
                           unsigned planes, size_t limit, unsigned char *ret_bytes)
{
    unsigned char *p = write_head(ret_bytes, CODEC_PLANES, order, start), *end = ret_bytes + limit;
    uint64_t before = 0;
    for (size_t cell = 0; cell < cells_in(count); cell++) {
        p = write_varint(p, zigzag(space->base[cell] - before));
        before = space->base[cell];
    }
    *p++ = (unsigned char)planes;
    for (unsigned plane = 0; plane < planes; plane++) {
        unsigned char *bytes = space->plane[0];
        for (size_t k = 0; k < count; k++)
            bytes[k] = (unsigned char)(space->difference[k] >> 8 * plane);
        if (end - p <= 2 * VARINT_LIMIT)
            return 0;
        size_t room = (size_t)(end - p) - VARINT_LIMIT;
        unsigned char *packed = space->plane[1];
        size_t size =
            ZSTD_compress2(space->compressor, packed, room < count - 1 ? room : count - 1, bytes, count);
        bool plain = ZSTD_isError(size); /* it did not fit: it would be no smaller */
        if (plain && room < count)
            return 0;
        size = plain ? count : size;
        p = write_varint(p, size);
        memcpy(p, plain ? bytes : packed, size);
        p += size;
    }
    return (size_t)(p - ret_bytes);
}

size_t sequence_pack(const uint64_t *numbers, size_t count, struct sequence_space *space, unsigned char *ret_bytes)
{
    if (is_line(numbers, count)) {
        ret_bytes[0] = CODEC_LINE;
        unsigned char *p = write_varint(ret_bytes + 1, zigzag(numbers[0]));
        return (size_t)(write_varint(p, zigzag(count > 1 ? numbers[1] - numbers[0] : 0)) - ret_bytes);
    }
    int order = cheapest_order(numbers, count);
    uint64_t start[2];
    starts_of(numbers, order, start);
    take_differences(numbers, count, order, start, space->difference);
    unsigned largest = take_bases(space, count);
    if (count >= PLANES_FROM) {
        size_t bits = bits_size(space, count), limit = bits - bits / PLANES_GAIN;
        size_t size = write_planes(space, count, order, start, (largest + 7) / 8, limit, ret_bytes);
        if (size > 0)
            return size;
    }
    return write_bits(space, count, order, start, ret_bytes);
}

static bool unpack_line(struct byte_reader *reader, size_t count, uint64_t *ret_numbers)
{
    uint64_t first = unzigzag(read_varint(reader)), step = unzigzag(read_varint(reader));
    for (size_t k = 0; k < count; k++)
        ret_numbers[k] = first + k * step;
    return !reader->bad;
}

static void read_bases(struct byte_reader *reader, size_t count, bool widths, struct sequence_space *space)
{
    uint64_t base = 0;
    for (size_t cell = 0; cell < cells_in(count); cell++) {
        space->base[cell] = base += unzigzag(read_varint(reader));
        space->width[cell] = widths ? (unsigned char)read_byte(reader) : 0;
    }
}

static bool unpack_bits(struct byte_reader *reader, size_t count, struct sequence_space *space, uint64_t *ret_numbers)
{
    read_bases(reader, count, true, space);
    for (size_t cell = 0; cell < cells_in(count); cell++) {
        size_t n = cell_count(count, cell);
        unsigned width = space->width[cell];
        const unsigned char *bytes = width <= 64 ? read_bytes(reader, bit_cell_size(n, width)) : NULL;
        if (bytes == NULL)
            return false;
        uint64_t number[BLOCK_CELL];
        bit_cell_unpack(bytes, n, width, number);
        for (size_t k = 0; k < n; k++)
            ret_numbers[cell * BLOCK_CELL + k] = number[k] + space->base[cell];
    }
    return true;
}

static bool read_plane(struct byte_reader *reader, size_t count, struct sequence_space *space,
                       unsigned char *ret_plane)
{
    uint64_t size = read_varint(reader);
    const unsigned char *bytes = size > 0 && size <= count ? read_bytes(reader, size) : NULL;
    if (bytes == NULL)
        return false;
    if (size == count)
        memcpy(ret_plane, bytes, count);
    return size == count ||
           ZSTD_decompressDCtx(space->decompressor, ret_plane, BLOCK_READINGS, bytes, size) == count;
}

WIDE static void add_plane(const unsigned char *plane, size_t count, unsigned shift, uint64_t *numbers)
{
    for (size_t k = 0; k < count; k++)
        numbers[k] += (uint64_t)plane[k] << shift;
}

static bool unpack_planes(struct byte_reader *reader, size_t count, struct sequence_space *space,
                          uint64_t *ret_numbers)
{
    read_bases(reader, count, false, space);
    unsigned planes = read_byte(reader);
    if (reader->bad || planes > PLANES)
        return false;
    for (unsigned plane = 0; plane < planes; plane++)
        if (!read_plane(reader, count, space, space->plane[plane]))
            return false;
    for (size_t cell = 0; cell < cells_in(count); cell++) {
        size_t n = cell_count(count, cell);
        uint64_t *numbers = ret_numbers + cell * BLOCK_CELL;
        for (size_t k = 0; k < n; k++)
            numbers[k] = space->base[cell];
        for (unsigned plane = 0; plane < planes; plane++)
            add_plane(space->plane[plane] + cell * BLOCK_CELL, n, 8 * plane, numbers);
    }
    return true;
}

bool sequence_unpack(struct byte_reader *reader, size_t count, struct sequence_space *space, uint64_t *ret_numbers)
{
    unsigned head = read_byte(reader), codec = head & ((1U << ORDER_SHIFT) - 1);
    int order = (int)(head >> ORDER_SHIFT);
    if (reader->bad || order >= ORDERS || (codec == CODEC_LINE && order > 0))
        return false;
    if (codec == CODEC_LINE)
        return unpack_line(reader, count, ret_numbers);
    uint64_t start[2] = {0, 0};
    for (int k = 0; k < order; k++)
        start[k] = unzigzag(read_varint(reader));
    bool fine = codec == CODEC_BITS     ? unpack_bits(reader, count, space, ret_numbers)
                : codec == CODEC_PLANES ? unpack_planes(reader, count, space, ret_numbers)
                                        : false;
    if (fine)
        add_differences(ret_numbers, count, order, start);
    return fine;
}
