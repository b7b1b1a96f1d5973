#include "image/image.h"

#include "base/memory.h"

#include <gd.h>
#include <libexif/exif-data.h>
#include <limits.h>
#include <stdarg.h>

struct image {
    gdImagePtr gd;
};

static struct image *image_of(gdImagePtr gd)
{
    struct image *image = memory_get(sizeof *image);
    image->gd = gd;
    return image;
}

void image_free(struct image *image)
{
    if (image == NULL)
        return;
    gdImageDestroy(image->gd);
    free(image);
}

int image_width(const struct image *image)
{
    return gdImageSX(image->gd);
}

int image_height(const struct image *image)
{
    return gdImageSY(image->gd);
}

/* EXIF, tag 0x0112: 1 upright … 8; 1 where nothing is said. */
static int orientation_of(struct span bytes)
{
    int orientation = 1;
    ExifData *data = exif_data_new_from_data((const unsigned char *)bytes.p, (unsigned)bytes.n);
    ExifEntry *entry = data != NULL ? exif_content_get_entry(data->ifd[EXIF_IFD_0], EXIF_TAG_ORIENTATION) : NULL;
    if (entry != NULL && entry->size >= 2)
        orientation = exif_get_short(entry->data, exif_data_get_byte_order(data));
    exif_data_unref(data);
    return orientation;
}

struct picture_size image_upright_size(struct span head)
{
    struct picture_size size = picture_size(head);
    if (size.kind != IMAGE_NONE && size.kind != IMAGE_HEIF && orientation_of(head) >= 5) { /* on its side */
        long width = size.width;
        size.width = size.height;
        size.height = width;
    }
    return size;
}

/* Takes the picture; gives another one, or the same. NULL when there is no memory. */
static gdImagePtr turned(gdImagePtr gd, int orientation)
{
    static const int degrees[9] = {0, 0, 0, 180, 0, 90, 270, 270, 90}; /* counter-clockwise, after mirroring */
    if (orientation < 2 || orientation > 8)
        return gd;
    if (orientation == 2 || orientation == 5 || orientation == 7)
        gdImageFlipHorizontal(gd);
    if (orientation == 4)
        gdImageFlipVertical(gd);
    if (degrees[orientation] == 0)
        return gd;
    gdImagePtr upright = gdImageRotateInterpolated(gd, (float)degrees[orientation], 0);
    gdImageDestroy(gd);
    return upright;
}

static gdImagePtr decoded(enum picture_kind kind, struct span bytes)
{
    union {
        const char *is;
        void *as; /* gd only reads what it is handed */
    } p = {bytes.p};
    int n = (int)bytes.n;
    switch (kind) {
    case IMAGE_JPEG: return gdImageCreateFromJpegPtrEx(n, p.as, 1);
    case IMAGE_PNG: return gdImageCreateFromPngPtr(n, p.as);
    case IMAGE_WEBP: return gdImageCreateFromWebpPtr(n, p.as);
    case IMAGE_HEIF: return gdImageCreateFromHeifPtr(n, p.as);
    default: return NULL;
    }
}

/* The message is ours to write. */
static void hush(int priority, const char *format, va_list arguments)
{
}

static enum status refuse(const char *name, struct message *message)
{
    status_fail(message, STATUS_UNREADABLE, "this is no picture that can be read, or only a part of one");
    status_at(message, name, 0, 0);
    return status_remedy(message, "give a JPEG, PNG, WebP or HEIC file as the camera made it");
}

enum status image_read(const char *name, struct span bytes, struct image **ret_image, struct message *message)
{
    struct picture_size size = picture_size(bytes);
    if (size.kind == IMAGE_NONE || bytes.n > INT_MAX)
        return refuse(name, message);
    if (size.width > 0 && size.height > IMAGE_MOST_PIXELS / size.width) {
        status_fail(message, STATUS_LIMIT, "a picture of %ld × %ld pixels is larger than %d million", size.width, size.height,
                    IMAGE_MOST_PIXELS / 1000000);
        status_at(message, name, 0, 0);
        return status_remedy(message, "scale it down first");
    }
    gdSetErrorMethod(hush);
    gdImagePtr gd = decoded(size.kind, bytes);
    if (gd != NULL && !gdImageTrueColor(gd) && !gdImagePaletteToTrueColor(gd)) {
        gdImageDestroy(gd);
        gd = NULL;
    }
    if (gd != NULL && size.kind != IMAGE_HEIF) /* whose decoder turns it */
        gd = turned(gd, orientation_of(bytes));
    if (gd == NULL)
        return refuse(name, message);
    *ret_image = image_of(gd);
    return STATUS_OK;
}

enum status image_scaled(const struct image *image, int most, struct image **ret_image, struct message *message)
{
    int width = image_width(image), height = image_height(image), longest = width > height ? width : height;
    double factor = longest > most ? (double)most / longest : 1;
    int to_width = (int)fmax(1, round(width * factor)), to_height = (int)fmax(1, round(height * factor));
    gdImagePtr gd = gdImageCreateTrueColor(to_width, to_height);
    if (gd == NULL) {
        status_fail(message, STATUS_LIMIT, "not enough memory for a picture of %d × %d pixels", to_width, to_height);
        return status_remedy(message, "close other programs");
    }
    gdImageFilledRectangle(gd, 0, 0, to_width - 1, to_height - 1, gdTrueColor(255, 255, 255)); /* under what is see-through */
    gdImageCopyResampled(gd, image->gd, 0, 0, 0, 0, to_width, to_height, width, height);
    *ret_image = image_of(gd);
    return STATUS_OK;
}

enum status image_write_jpeg(const struct image *image, int quality, struct text *bytes, struct message *message)
{
    int n = 0;
    void *p = gdImageJpegPtr(image->gd, &n, quality);
    if (p == NULL)
        return status_fail(message, STATUS_LIMIT, "the picture could not be written as JPEG");
    text_add_bytes(bytes, p, (size_t)n);
    gdFree(p);
    return STATUS_OK;
}

void image_pixels(const struct image *image, uint32_t *ret_pixels)
{
    int width = image_width(image), height = image_height(image);
    for (int y = 0; y < height; y++)
        for (int x = 0; x < width; x++)
            *ret_pixels++ = (uint32_t)image->gd->tpixels[y][x] & 0xffffffu;
}

void image_grey(const struct image *image, unsigned char *ret_grey)
{
    int width = image_width(image), height = image_height(image);
    for (int y = 0; y < height; y++) {
        for (int x = 0; x < width; x++) {
            int c = image->gd->tpixels[y][x];
            ret_grey[(size_t)y * (size_t)width + (size_t)x] =
                (unsigned char)((299 * gdTrueColorGetRed(c) + 587 * gdTrueColorGetGreen(c) + 114 * gdTrueColorGetBlue(c) + 500) / 1000);
        }
    }
}
