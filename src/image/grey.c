#include "image/grey.h"

#include "base/memory.h"

#include <string.h>

static struct grey grey_new(int width, int height)
{
    struct grey grey = {.width = width, .height = height};
    grey.p = memory_try((size_t)width * (size_t)height, 1);
    return grey;
}

static unsigned char *row(const struct grey *grey, int y)
{
    return grey->p + (size_t)y * (size_t)grey->width;
}

struct grey grey_of(const struct image *image)
{
    struct grey grey = grey_new(image_width(image), image_height(image));
    if (grey.p != NULL)
        image_grey(image, grey.p);
    return grey;
}

void grey_free(struct grey *grey)
{
    if (grey->p != NULL)
        memory_try_free(grey->p, (size_t)grey->width * (size_t)grey->height, 1);
    grey->p = NULL;
}

struct grey grey_halved(const struct grey *grey)
{
    struct grey half = grey_new(grey->width / 2, grey->height / 2);
    for (int y = 0; half.p != NULL && y < half.height; y++) {
        const unsigned char *a = row(grey, 2 * y), *b = row(grey, 2 * y + 1);
        unsigned char *to = row(&half, y);
        for (int x = 0; x < half.width; x++)
            to[x] = (unsigned char)((a[2 * x] + a[2 * x + 1] + b[2 * x] + b[2 * x + 1] + 2) / 4);
    }
    return half;
}

struct grey grey_part(const struct grey *grey, int x, int y, int width, int height)
{
    struct grey part = grey_new(width, height);
    for (int k = 0; part.p != NULL && k < height; k++)
        memcpy(row(&part, k), row(grey, y + k) + x, (size_t)width);
    return part;
}

/* Sums over rectangles from sums over those that begin at a corner (a summed-area table). */
static void sum_up(const struct grey *grey, uint32_t *sums)
{
    size_t line = (size_t)grey->width + 1;
    memset(sums, 0, line * sizeof *sums);
    for (int y = 0; y < grey->height; y++) {
        uint32_t sum = 0, *above = sums + (size_t)y * line, *to = above + line;
        to[0] = 0;
        for (int x = 0; x < grey->width; x++) {
            sum += row(grey, y)[x];
            to[x + 1] = above[x + 1] + sum;
        }
    }
}

struct grey grey_evened(const struct grey *grey, int half)
{
    int w = grey->width, h = grey->height;
    size_t line = (size_t)w + 1, count = line * ((size_t)h + 1);
    struct grey even = grey_new(w, h);
    uint32_t *sums = memory_try(count, sizeof *sums);
    if (even.p == NULL || sums == NULL) {
        memory_try_free(sums, count, sizeof *sums);
        grey_free(&even);
        return even;
    }
    sum_up(grey, sums);
    for (int y = 0; y < h; y++) {
        int top = y > half ? y - half : 0, bottom = y + half < h ? y + half : h;
        const uint32_t *above = sums + (size_t)top * line, *below = sums + (size_t)bottom * line;
        for (int x = 0; x < w; x++) {
            int left = x > half ? x - half : 0, right = x + half < w ? x + half : w;
            uint32_t sum = below[right] - above[right] - below[left] + above[left], area = (uint32_t)((bottom - top) * (right - left));
            int value = 128 + 3 * (row(grey, y)[x] - (area > 0 ? (int)(sum / area) : 0));
            row(&even, y)[x] = (unsigned char)(value < 0 ? 0 : value > 255 ? 255 : value);
        }
    }
    memory_try_free(sums, count, sizeof *sums);
    return even;
}
