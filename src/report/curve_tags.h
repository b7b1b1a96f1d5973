/* Curve tags: the words on a curve. Each asks for a place; those for which there is none are set below the
 * figure, so that nothing is lost. */
#ifndef RUNDOWN_REPORT_CURVE_TAGS_H
#define RUNDOWN_REPORT_CURVE_TAGS_H

#include "draw/figure.h"
#include "draw/layout.h"

enum { TAGS = 64 };

struct tags {
    struct tag tag[TAGS];
    struct lettering letters[TAGS];
    char words[TAGS][160];
    char where[TAGS][24]; /* said before the words when they stand below the figure: "48.4 Ah" */
    size_t count, left_out;
};

/* How a tag may be placed: where it would stand, how far it may move, and who chooses first. */
struct wish {
    double x, y, reach_x, reach_y;
    int rank;
    struct lettering letters;
};

void tags_want(struct tags *tags, struct wish wish, const char *where, const char *words);

/* Finds places within the frame, clear of what is taken and of each other. */
void tags_place(struct tags *tags, const struct box *taken, size_t taken_count, struct box frame);
void tags_draw(const struct tags *tags, struct figure *figure);

/* The others, in lines from baseline y on; returns the baseline below them. Measures only when `figure` is
 * NULL. Call after tags_place. */
double tags_rest(const struct tags *tags, struct figure *figure, double x, double y, double width);

#endif
