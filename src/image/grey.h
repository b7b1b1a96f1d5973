/* Grey: a picture's luma alone, halved, cut out and evened, for whoever searches it. */
#ifndef RUNDOWN_IMAGE_GREY_H
#define RUNDOWN_IMAGE_GREY_H

#include "image/image.h"

struct grey {
    unsigned char *p; /* row by row; NULL when there was no memory */
    int width, height;
};

struct grey grey_of(const struct image *image);
void grey_free(struct grey *grey); /* an empty one is fine */

/* The mean of each 2 × 2; an odd last row or column is left away. Of at least 2 × 2. */
struct grey grey_halved(const struct grey *grey);

/* That part of it, which lies inside. */
struct grey grey_part(const struct grey *grey, int x, int y, int width, int height);

/* Each pixel against the mean of the square about it that reaches `half` pixels, three times as steep: shade and gloss
 * go, edges stay. At most 16 million pixels. */
struct grey grey_evened(const struct grey *grey, int half);

#endif
