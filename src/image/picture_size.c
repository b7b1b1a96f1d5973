#include "image/picture_size.h"

#include <string.h>

static long big16(const unsigned char *p)
{
    return p[0] << 8 | p[1];
}

static long big32(const unsigned char *p)
{
    return (long)p[0] << 24 | p[1] << 16 | p[2] << 8 | p[3];
}

static long little24(const unsigned char *p)
{
    return p[0] | p[1] << 8 | (long)p[2] << 16;
}

/* Segments one after the other until a frame header: C0 to CF without C4 (tables), C8 and CC. */
static void read_jpeg(const unsigned char *p, size_t n, struct picture_size *size)
{
    size_t at = 2;
    while (at + 9 < n && p[at] == 0xff) {
        unsigned char marker = p[at + 1];
        if (marker == 0xff) {
            at++;
            continue;
        }
        if (marker >= 0xc0 && marker <= 0xcf && marker != 0xc4 && marker != 0xc8 && marker != 0xcc) {
            size->height = big16(p + at + 5);
            size->width = big16(p + at + 7);
            return;
        }
        at += 2 + (size_t)big16(p + at + 2);
    }
}

static void read_webp(const unsigned char *p, size_t n, struct picture_size *size)
{
    if (n < 30)
        return;
    if (memcmp(p + 12, "VP8X", 4) == 0) {
        size->width = little24(p + 24) + 1;
        size->height = little24(p + 27) + 1;
    } else if (memcmp(p + 12, "VP8L", 4) == 0) {
        size->width = 1 + (p[21] | (p[22] & 0x3f) << 8);
        size->height = 1 + (p[22] >> 6 | p[23] << 2 | (p[24] & 0x0f) << 10);
    } else if (memcmp(p + 12, "VP8 ", 4) == 0) {
        size->width = (p[26] | p[27] << 8) & 0x3fff;
        size->height = (p[28] | p[29] << 8) & 0x3fff;
    }
}

static bool is_heif(const unsigned char *p)
{
    static const char *const brands[] = {"heic", "heix", "mif1", "heim", "heis", "msf1"};
    for (size_t k = 0; k < sizeof brands / sizeof brands[0]; k++)
        if (memcmp(p + 8, brands[k], 4) == 0)
            return memcmp(p + 4, "ftyp", 4) == 0;
    return false;
}

struct picture_size picture_size(struct span bytes)
{
    const unsigned char *p = (const unsigned char *)bytes.p;
    struct picture_size size = {IMAGE_NONE, 0, 0};
    if (bytes.n < 24)
        return size;
    if (p[0] == 0xff && p[1] == 0xd8) {
        size.kind = IMAGE_JPEG;
        read_jpeg(p, bytes.n, &size);
    } else if (memcmp(p, "\x89PNG\r\n\x1a\n", 8) == 0) {
        size = (struct picture_size){IMAGE_PNG, big32(p + 16), big32(p + 20)};
    } else if (memcmp(p, "RIFF", 4) == 0 && memcmp(p + 8, "WEBP", 4) == 0) {
        size.kind = IMAGE_WEBP;
        read_webp(p, bytes.n, &size);
    } else if (is_heif(p)) {
        size.kind = IMAGE_HEIF;
    }
    return size;
}

const char *picture_media_type(enum picture_kind kind)
{
    static const char *const types[] = {NULL, "image/jpeg", "image/png", "image/webp", "image/heic"};
    return types[kind];
}
