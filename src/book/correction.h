/* Corrections: what a field held before somebody set it right. The old value is never lost. */
#ifndef RUNDOWN_BOOK_CORRECTION_H
#define RUNDOWN_BOOK_CORRECTION_H

#include "book/book.h"

struct correction {
    int64_t sample, run; /* one of them; the other is 0 */
    char field[32];      /* "name", "kind", "rig", "label", "sample", "invented" */
    char *before, *after; /* owned */
    int64_t utc_ns;
};

struct correction_list {
    struct correction *items;
    size_t count;
};

enum status correction_add(struct book *book, const struct correction *correction, struct message *message);
/* Of a sample, or of a run (the other 0), oldest first. */
enum status book_corrections(struct book *book, int64_t sample, int64_t run, struct correction_list *ret_list,
                             struct message *message);
void correction_list_free(struct correction_list *list);

#endif
