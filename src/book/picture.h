/* Pictures: of a sample, or of a moment of a run, byte for byte as they came. */
#ifndef RUNDOWN_BOOK_PICTURE_H
#define RUNDOWN_BOOK_PICTURE_H

#include "base/text.h"
#include "book/sample.h"

struct picture {
    int64_t id, sample;
    int64_t run;          /* 0: of the sample itself */
    char kind[64];        /* media type: "image/jpeg" */
    char name[BOOK_NAME]; /* of its file */
    struct text caption;  /* owned */
    char item[96];        /* slug of the opened item that it shows (teardown/opened.h); "" none */
    bool shown;           /* chosen for the sheet and the page */
    int64_t utc_ns;       /* when it came into the book */
    int64_t size;         /* bytes; set where read */
    struct text bytes;    /* owned; a list leaves it empty */
};

struct picture_list {
    struct picture *items;
    size_t count;
};

enum status picture_add(struct book *book, const struct picture *picture, int64_t *ret_id, struct message *message);
enum status picture_get(struct book *book, int64_t id, struct picture *ret_picture, struct message *message);
/* Its first bytes, at most `most`, without reading the others; appended. */
enum status picture_head(struct book *book, int64_t id, size_t most, struct text *bytes, struct message *message);
/* Of a sample and its runs, as they were added, without their bytes. */
enum status book_pictures(struct book *book, int64_t sample, struct picture_list *ret_list, struct message *message);
enum status picture_remove(struct book *book, int64_t id, struct message *message);
/* Caption, item and `shown` of picture->id as they are in `picture`. */
enum status picture_change(struct book *book, const struct picture *picture, struct message *message);
void picture_free(struct picture *picture);
void picture_list_free(struct picture_list *list);

#endif
