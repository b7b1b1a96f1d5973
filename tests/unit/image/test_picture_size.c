#include "check.h"

#include "image/picture_size.h"

static struct picture_size size_of(const char *bytes, size_t n)
{
    return picture_size((struct span){bytes, n});
}

TEST(kinds_are_known_by_their_first_bytes)
{
    static const char png[] = "\x89PNG\r\n\x1a\n\0\0\0\rIHDR\0\0\x0f\xa0\0\0\x0b\xb8\x08\x02";
    struct picture_size size = size_of(png, sizeof png);
    CHECK(size.kind == IMAGE_PNG && size.width == 4000 && size.height == 3000);
    static const char jpeg[] = "\xff\xd8\xff\xe1\0\x08" "Exif\0\0" "\xff\xff\xff\xc2\0\x11\x08\x0b\xb8\x0f\xa0\x03\x01\x22\0\0\0";
    size = size_of(jpeg, sizeof jpeg);
    CHECK(size.kind == IMAGE_JPEG && size.width == 4000 && size.height == 3000);
    static const char webp[] = "RIFF\x20\0\0\0WEBPVP8X\x0a\0\0\0\0\0\0\0\x9f\x0f\0\xb7\x0b\0\0\0";
    size = size_of(webp, sizeof webp);
    CHECK(size.kind == IMAGE_WEBP && size.width == 4000 && size.height == 3000);
    static const char heic[] = "\0\0\0\x18" "ftypheic\0\0\0\0mif1heic";
    CHECK(size_of(heic, sizeof heic).kind == IMAGE_HEIF);
    CHECK_TEXT(picture_media_type(IMAGE_HEIF), "image/heic");
}

TEST(anything_else_is_no_picture)
{
    static const char text[] = "time,volts,amps\n0,13.3,0\n10,12.9,24\n";
    CHECK(size_of(text, sizeof text).kind == IMAGE_NONE);
    CHECK(size_of("", 0).kind == IMAGE_NONE);
    static const char cut[] = "\xff\xd8\xff\xe1\xff\xff and then nothing more";
    struct picture_size size = size_of(cut, sizeof cut);
    CHECK(size.kind == IMAGE_JPEG && size.width == 0);
}
