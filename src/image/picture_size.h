/* Picture size: what kind of picture some bytes are and how large it claims to be, from its first bytes alone, before
 * anything is decoded. JPEG (ITU-T T.81), PNG (RFC 2083), WebP (RFC 9649), HEIF (ISO/IEC 23008-12: the kind only). */
#ifndef RUNDOWN_IMAGE_PICTURE_SIZE_H
#define RUNDOWN_IMAGE_PICTURE_SIZE_H

#include "base/text.h"

enum picture_kind { IMAGE_NONE, IMAGE_JPEG, IMAGE_PNG, IMAGE_WEBP, IMAGE_HEIF };

struct picture_size {
    enum picture_kind kind;
    long width, height; /* as stored, before it is turned; 0 where the head does not say */
};
struct picture_size picture_size(struct span bytes);
const char *picture_media_type(enum picture_kind kind); /* "image/jpeg"; NULL for none */

#endif
