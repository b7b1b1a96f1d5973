/* Photograph: a picture comes into the book byte for byte, once it could be read; what leaves is upright, scaled and
 * without metadata, so that nothing tells where it was taken. What kind it is its bytes say, never its name. */
#ifndef RUNDOWN_ARCHIVE_PHOTOGRAPH_H
#define RUNDOWN_ARCHIVE_PHOTOGRAPH_H

#include "book/picture.h"
#include "image/picture_size.h"

enum {
    PHOTOGRAPH_BYTES = 64 << 20,
    PHOTOGRAPH_SIDE = 1600, /* of the longer side, where nothing is said; pixels */
    PHOTOGRAPH_LEAST = 16,
    PHOTOGRAPH_MOST = 4096,
};

struct photograph {
    int64_t sample, run;        /* run 0: of the sample itself */
    const char *name;           /* of its file; folders before it are left out */
    const char *caption, *item; /* "" none */
    bool shown;
    struct span bytes;
    int64_t utc_ns;
};

/* Decodes it, which takes 4 bytes a pixel: JPEG, PNG, WebP or HEIC, whole, and not too large. */
enum status photograph_judge(const char *name, struct span bytes, struct message *message);
/* Of a picture that was judged. The run must be one of the sample. */
enum status photograph_add(struct book *book, const struct photograph *photograph, int64_t *ret_id,
                           struct message *message);
/* Caption or item; NULL leaves it. The picture then wants picture_change. */
enum status photograph_say(struct picture *picture, const char *caption, const char *item, struct message *message);

/* Appended as JPEG, no side longer than `side`. */
enum status photograph_shown(const struct picture *picture, int side, struct text *bytes, struct message *message);

/* Upright; from its first bytes alone, 0 × 0 where they do not say. */
enum status photograph_size(struct book *book, int64_t picture, struct picture_size *ret_size, struct message *message);

#endif
