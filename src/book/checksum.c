#include "book/checksum.h"

#include "book/byte_cursor.h"

static const uint64_t prime_1 = UINT64_C(0x9E3779B185EBCA87), prime_2 = UINT64_C(0xC2B2AE3D27D4EB4F),
                      prime_3 = UINT64_C(0x165667B19E3779F9), prime_4 = UINT64_C(0x85EBCA77C2B2AE63),
                      prime_5 = UINT64_C(0x27D4EB2F165667C5);

static uint64_t rotate(uint64_t x, int bits)
{
    return x << bits | x >> (64 - bits);
}

static uint64_t round_of(uint64_t lane, uint64_t word)
{
    return rotate(lane + word * prime_2, 31) * prime_1;
}

/* Stripes of 32 bytes, a word to each of four lanes. */
static uint64_t stripes(const unsigned char *p, size_t count, uint64_t seed)
{
    uint64_t lane[4] = {seed + prime_1 + prime_2, seed + prime_2, seed, seed - prime_1};
    for (; count >= 32; count -= 32, p += 32)
        for (int k = 0; k < 4; k++)
            lane[k] = round_of(lane[k], load_u64(p + 8 * k));
    uint64_t sum = rotate(lane[0], 1) + rotate(lane[1], 7) + rotate(lane[2], 12) + rotate(lane[3], 18);
    for (int k = 0; k < 4; k++)
        sum = (sum ^ round_of(0, lane[k])) * prime_1 + prime_4;
    return sum;
}

uint64_t checksum(const unsigned char *bytes, size_t count, uint64_t seed)
{
    uint64_t sum = (count >= 32 ? stripes(bytes, count, seed) : seed + prime_5) + count;
    const unsigned char *p = bytes + count / 32 * 32, *end = bytes + count;
    for (; end - p >= 8; p += 8)
        sum = rotate(sum ^ round_of(0, load_u64(p)), 27) * prime_1 + prime_4;
    if (end - p >= 4) {
        uint32_t word = p[0] | (uint32_t)p[1] << 8 | (uint32_t)p[2] << 16 | (uint32_t)p[3] << 24;
        sum = rotate(sum ^ word * prime_1, 23) * prime_2 + prime_3;
        p += 4;
    }
    for (; p < end; p++)
        sum = rotate(sum ^ *p * prime_5, 11) * prime_1;
    sum = (sum ^ sum >> 33) * prime_2;
    sum = (sum ^ sum >> 29) * prime_3;
    return sum ^ sum >> 32;
}
