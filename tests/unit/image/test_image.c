#include "check.h"

#include "image/image.h"

#include <gd.h>

enum { WIDTH = 60, HEIGHT = 40 };

/* Red at the left, blue at the right; the top row dark. */
static gdImagePtr drawn(void)
{
    gdImagePtr gd = gdImageCreateTrueColor(WIDTH, HEIGHT);
    gdImageFilledRectangle(gd, 0, 0, WIDTH / 2 - 1, HEIGHT - 1, gdTrueColor(220, 20, 20));
    gdImageFilledRectangle(gd, WIDTH / 2, 0, WIDTH - 1, HEIGHT - 1, gdTrueColor(20, 20, 220));
    gdImageFilledRectangle(gd, 0, 0, WIDTH - 1, 7, gdTrueColor(0, 0, 0));
    return gd;
}

static struct text jpeg_of(gdImagePtr gd)
{
    struct text bytes = TEXT_EMPTY;
    int n = 0;
    void *p = gdImageJpegPtr(gd, &n, 95);
    text_add_bytes(&bytes, p, (size_t)n);
    gdFree(p);
    return bytes;
}

/* The same with an EXIF head that says which way it was held. */
static struct text held(const struct text *jpeg, char orientation)
{
    char exif[] = "\xff\xe1\0\x22" "Exif\0\0" "II\x2a\0\x08\0\0\0" "\x01\0" "\x12\x01\x03\0\x01\0\0\0\x01\0\0\0" "\0\0\0";
    struct text all = TEXT_EMPTY;
    exif[28] = orientation;
    text_add_bytes(&all, jpeg->s, 2);
    text_add_bytes(&all, exif, 36);
    text_add_bytes(&all, jpeg->s + 2, jpeg->length - 2);
    return all;
}

static struct image *read_well(const struct text *bytes)
{
    struct image *image = NULL;
    struct message message;
    CHECK(image_read("picture", (struct span){bytes->s, bytes->length}, &image, &message) == STATUS_OK);
    return image;
}

static int grey_at(const struct image *image, double x, double y)
{
    static unsigned char grey[WIDTH * HEIGHT];
    image_grey(image, grey);
    int w = image_width(image), h = image_height(image);
    return grey[(int)(y * (h - 1)) * w + (int)(x * (w - 1))];
}

TEST(a_picture_is_read_upright_however_the_phone_was_held)
{
    gdImagePtr gd = drawn();
    struct text jpeg = jpeg_of(gd);
    gdImageDestroy(gd);
    /* Stored as the sensor saw it: 6 is to be turned clockwise, so that the dark top row ends up at the right. */
    struct text turned = held(&jpeg, 6), flipped = held(&jpeg, 3);
    struct image *plain = read_well(&jpeg), *quarter = read_well(&turned), *half = read_well(&flipped);
    CHECK(image_width(plain) == WIDTH && image_width(quarter) == HEIGHT && image_height(quarter) == WIDTH);
    CHECK(grey_at(plain, 0.5, 0.02) < 30 && grey_at(plain, 0.5, 0.9) > 30);
    CHECK(grey_at(quarter, 0.98, 0.5) < 30 && grey_at(quarter, 0.02, 0.5) > 30);
    CHECK(grey_at(half, 0.5, 0.98) < 30 && grey_at(half, 0.5, 0.02) > 30);
    CHECK(grey_at(quarter, 0.2, 0.1) > grey_at(quarter, 0.2, 0.9)); /* what was left is on top: red is lighter than blue */
    image_free(plain);
    image_free(quarter);
    image_free(half);
    text_free(&jpeg);
    text_free(&turned);
    text_free(&flipped);
}

TEST(what_is_written_holds_no_metadata)
{
    gdImagePtr gd = drawn();
    struct text jpeg = jpeg_of(gd), marked = held(&jpeg, 1), out = TEXT_EMPTY;
    struct message message;
    gdImageDestroy(gd);
    struct image *image = read_well(&marked), *small = NULL;
    CHECK(image_scaled(image, 30, &small, &message) == STATUS_OK);
    CHECK(image_width(small) == 30 && image_height(small) == 20);
    CHECK(image_write_jpeg(small, 85, &out, &message) == STATUS_OK);
    CHECK(memmem(marked.s, marked.length, "Exif", 4) != NULL && memmem(out.s, out.length, "Exif", 4) == NULL);
    image_free(image);
    image_free(small);
    text_free(&jpeg);
    text_free(&marked);
    text_free(&out);
}

TEST(what_is_no_picture_is_refused_and_what_is_too_large_before_it_is_decoded)
{
    struct image *image = NULL;
    struct message message;
    CHECK(image_read("log.csv", span_of("time,volts,amps and more than that"), &image, &message) == STATUS_UNREADABLE);
    static const char bomb[] = "\x89PNG\r\n\x1a\n\0\0\0\rIHDR\0\x01\x86\xa0\0\x01\x86\xa0\x08\x02";
    CHECK(image_read("bomb.png", (struct span){bomb, sizeof bomb}, &image, &message) == STATUS_LIMIT);
    gdImagePtr gd = drawn();
    struct text jpeg = jpeg_of(gd);
    gdImageDestroy(gd);
    CHECK(image_read("cut.jpg", (struct span){jpeg.s, 60}, &image, &message) == STATUS_UNREADABLE);
    text_free(&jpeg);
    CHECK(image == NULL);
}
