/* Byte cursor: little-endian numbers read from bytes that may be hostile, and written where there is room. */
#ifndef RUNDOWN_BOOK_BYTE_CURSOR_H
#define RUNDOWN_BOOK_BYTE_CURSOR_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

/* Past the end it yields zeros and turns bad, for good. */
struct byte_reader {
    const unsigned char *p;
    size_t left;
    bool bad;
};

enum { VARINT_LIMIT = 10 }; /* bytes of the longest */

static inline uint64_t load_u64(const unsigned char *p)
{
    uint64_t value;
    memcpy(&value, p, sizeof value);
#if __BYTE_ORDER__ == __ORDER_BIG_ENDIAN__
    value = __builtin_bswap64(value);
#endif
    return value;
}

static inline void store_u64(unsigned char *p, uint64_t value)
{
#if __BYTE_ORDER__ == __ORDER_BIG_ENDIAN__
    value = __builtin_bswap64(value);
#endif
    memcpy(p, &value, sizeof value);
}

/* The next `count` bytes; NULL when there are not as many. */
static inline const unsigned char *read_bytes(struct byte_reader *reader, size_t count)
{
    if (reader->bad || count > reader->left) {
        reader->bad = true;
        return NULL;
    }
    const unsigned char *at = reader->p;
    reader->p += count;
    reader->left -= count;
    return at;
}

static inline unsigned read_byte(struct byte_reader *reader)
{
    const unsigned char *at = read_bytes(reader, 1);
    return at != NULL ? *at : 0;
}

/* Seven bits a byte, the lowest first; the top bit says that more come. */
static inline uint64_t read_varint(struct byte_reader *reader)
{
    uint64_t value = 0;
    for (unsigned shift = 0; shift < 7 * VARINT_LIMIT; shift += 7) {
        unsigned byte = read_byte(reader);
        value |= (uint64_t)(byte & 0x7F) << shift;
        if (byte < 0x80)
            return value;
    }
    reader->bad = true;
    return 0;
}

static inline unsigned char *write_varint(unsigned char *p, uint64_t value)
{
    for (; value >= 0x80; value >>= 7)
        *p++ = (unsigned char)(value | 0x80);
    *p++ = (unsigned char)value;
    return p;
}

/* Small magnitudes of either sign become small numbers: 0, -1, 1, -2, … are 0, 1, 2, 3, … */
static inline uint64_t zigzag(uint64_t value)
{
    return value << 1 ^ (0 - (value >> 63));
}

static inline uint64_t unzigzag(uint64_t value)
{
    return value >> 1 ^ (0 - (value & 1));
}

#endif
