/* Chosen pictures: those of a sample that are to stand on its sheet and page, made ready for both: upright, scaled, without
 * metadata. What is kept in the book stays as it came. */
#ifndef RUNDOWN_REPORT_CHOSEN_PICTURES_H
#define RUNDOWN_REPORT_CHOSEN_PICTURES_H

#include "book/picture.h"
#include "report/publishing.h"
#include "report/ready_pictures.h"

enum { CHOSEN_PICTURES = 40 };

struct chosen_pictures {
    struct publishing_picture *pictures;
    size_t count;
    size_t left_out;              /* chosen beyond CHOSEN_PICTURES */
    struct picture_list list;     /* owns the captions */
    struct text *jpegs;           /* one a picture */
};

/* A picture that cannot be read any more fails the whole: it is named. `ready` may be NULL. */
enum status chosen_pictures_read(struct book *book, int64_t sample, struct ready_pictures *ready,
                                 struct chosen_pictures *ret_chosen, struct message *message);
void chosen_pictures_put(const struct chosen_pictures *chosen, struct publishing *publishing); /* borrows them */
void chosen_pictures_free(struct chosen_pictures *chosen);

#endif
