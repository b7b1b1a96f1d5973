/* Image: a picture from a phone, upright, in memory; scaled, written without anything that tells where it was taken.
 *
 * libgd decodes and encodes, libexif says which way is up. What is larger than IMAGE_MOST_PIXELS is refused from its
 * head, before it is decoded. Whatever a decoder cannot read is STATUS_UNREADABLE; nothing it prints reaches a screen. */
#ifndef RUNDOWN_IMAGE_IMAGE_H
#define RUNDOWN_IMAGE_IMAGE_H

#include "base/status.h"
#include "base/text.h"
#include "image/picture_size.h"

#include <stdint.h>

enum { IMAGE_MOST_PIXELS = 120000000 };

struct image; /* owned by who asked for it */

/* `name` is for the message. */
enum status image_read(const char *name, struct span bytes, struct image **ret_image, struct message *message);
void image_free(struct image *image); /* NULL is fine */

int image_width(const struct image *image);
int image_height(const struct image *image);

/* How large it is once it is upright, from its first bytes alone; as picture_size says where those do not tell. */
struct picture_size image_upright_size(struct span head);

/* No side longer than `most`; a copy where it is smaller already. */
enum status image_scaled(const struct image *image, int most, struct image **ret_image, struct message *message);

/* Appended; without metadata. Quality 0 to 100. */
enum status image_write_jpeg(const struct image *image, int quality, struct text *bytes, struct message *message);

/* 0x00RRGGBB, row by row; `ret_pixels` has room for width × height. */
void image_pixels(const struct image *image, uint32_t *ret_pixels);

/* Luma (ITU-R BT.601), row by row; `ret_grey` has room for width × height. */
void image_grey(const struct image *image, unsigned char *ret_grey);

#endif
