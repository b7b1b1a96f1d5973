/* Ready pictures: those of a book as sheet and page show them, made once for all who look at them again and again. A
 * picture of a phone takes a good part of a second to unpack and scale. Kept are the latest READY_PICTURES; what they were
 * made of is asked of the book each time. For several threads; one is made at a time, since it takes 4 bytes a pixel. */
#ifndef RUNDOWN_REPORT_READY_PICTURES_H
#define RUNDOWN_REPORT_READY_PICTURES_H

#include "book/picture.h"

enum { READY_PICTURES = 80, READY_SIDE = 1200 }; /* pixels of the longer side */

struct ready_pictures;
struct ready_pictures *ready_pictures_new(void);
void ready_pictures_free(struct ready_pictures *ready); /* NULL is fine */

/* The JPEG of a picture that the book lists, appended. `ready` NULL: made anew. */
enum status ready_pictures_add(struct ready_pictures *ready, struct book *book, const struct picture *listed,
                               struct text *jpeg, struct message *message);

#endif
