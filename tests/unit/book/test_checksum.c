#include "check.h"

#include "book/checksum.h"

#include <string.h>
#include <zstd.h>

static uint64_t of(const char *text, uint64_t seed)
{
    return checksum((const unsigned char *)text, strlen(text), seed);
}

/* From memory: the values that the xxHash project's own documents and tests print for these inputs. */
TEST(published_values)
{
    CHECK(of("", 0) == UINT64_C(0xEF46DB3751D8E999));
    CHECK(of("abc", 0) == UINT64_C(0x44BC2CF5AD770999));
}

/* RFC 8878, 3.1.1: the content checksum of a zstd frame is the low four bytes of XXH64 with seed 0, computed here
 * by zstd itself. */
TEST(agrees_with_the_one_in_zstd_frames)
{
    unsigned char bytes[1200], frame[2400];
    for (size_t k = 0; k < sizeof bytes; k++)
        bytes[k] = (unsigned char)(k * k * 7 + (k >> 3));
    ZSTD_CCtx *context = ZSTD_createCCtx();
    ZSTD_CCtx_setParameter(context, ZSTD_c_checksumFlag, 1);
    for (size_t n = 0; n < sizeof bytes; n += n < 70 ? 1 : 37) {
        size_t size = ZSTD_compress2(context, frame, sizeof frame, bytes, n);
        CHECK(!ZSTD_isError(size));
        uint32_t tail = 0;
        for (size_t k = 0; k < 4; k++)
            tail |= (uint32_t)frame[size - 4 + k] << 8 * k;
        CHECK(tail == (uint32_t)checksum(bytes, n, 0));
    }
    ZSTD_freeCCtx(context);
}

TEST(the_seed_counts)
{
    CHECK(of("12.90", 1) != of("12.90", 2));
}
