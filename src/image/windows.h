/* Windows: where a picture is busy as it is where a code is printed, with edges each way all over a place.
 *
 * How busy a place is tells the smaller eigenvalue of its structure tensor, a pixel (Shi and Tomasi, Good features to
 * track, CVPR 1994): near 0 on a plane and along one straight edge, large where edges cross. A window hangs together
 * from places that are busy for as far as a small code reaches, some 45 pixels, so that a mere corner is none; it has a
 * margin for the quiet zone. One that is larger than WINDOW_SIDE is cut into several that overlap by half: what is no
 * larger than half of WINDOW_SIDE lies whole in one of them. Look for what is larger, or blurred, on the halved picture.
 * What is hardly above the picture's plain places is passed over as noise. */
#ifndef RUNDOWN_IMAGE_WINDOWS_H
#define RUNDOWN_IMAGE_WINDOWS_H

#include "image/grey.h"

enum { WINDOW_TILE = 8, WINDOW_SIDE = 384 };

struct window {
    int x, y, width, height; /* pixels, inside the picture */
    double contrast;         /* how busy it is for its light: of its busiest place, over the square of what is lightest there */
};

struct windows {
    struct window *all; /* the busiest first */
    size_t count, capacity;
};

/* None in a picture of less than a few tiles each way. */
struct windows windows_find(const struct grey *grey);
void windows_free(struct windows *windows);

#endif
