/* Publishing: what whoever publishes an assessment chooses for the sheet, the page and the figures. Nothing chosen here
 * changes a number or a verdict, and what is left out is named where it would stand.
 *
 * All zero: A4, decimal point, all there is. */
#ifndef RUNDOWN_REPORT_PUBLISHING_H
#define RUNDOWN_REPORT_PUBLISHING_H

#include "base/text.h"
#include "claims/assessment.h"
#include "draw/paper.h"

enum publishing_part {
    PUBLISH_BUDGETS,
    PUBLISH_CONDITIONS,
    PUBLISH_NOTICES,
    PUBLISH_CAUTIONS,
    PUBLISH_RECOMPUTE,
    PUBLISH_PICTURES,
    PUBLISH_PARTS
};
extern const char *const publishing_parts[PUBLISH_PARTS + 1]; /* "budgets", …; NULL at the end */

/* A photograph of the sample, as chosen_pictures.h makes it. Borrowed. */
struct publishing_picture {
    const char *caption;
    const char *item;  /* slug of the opened item that it shows; "" none */
    struct span jpeg;  /* upright, scaled, without metadata */
};

struct publishing {
    enum paper_size paper;
    bool comma;                  /* decimal sign */
    bool without[PUBLISH_PARTS];
    const bool *hide;            /* one a record: told by its name alone; NULL: none */
    const struct publishing_picture *pictures;
    size_t picture_count;
};

bool publishing_shows(const struct publishing *publishing, size_t record);

/* Words parted by commas; one that names no part is a usage error that lists them. */
enum status publishing_leave_out(struct publishing *publishing, const char *words, struct message *message);

/* A sentence that names what was left out; nothing when all is there. */
void publishing_left_out(const struct publishing *publishing, const struct assessment *assessment, struct text *text);

#endif
