/* Layout: how large a text is, and where labels can stand without touching anything.
 *
 * Sizes come from Pango with the very font that the paper and the picture use. A page that has to do
 * with another font may be a few per cent wider: leave a gap. */
#ifndef RUNDOWN_DRAW_LAYOUT_H
#define RUNDOWN_DRAW_LAYOUT_H

#include "draw/figure.h"

/* Of one line of text. Width is the advance; ascent and descent are the font's, the same for every
 * text of a role unless another font has to step in. */
struct extent {
    double width, ascent, descent;
};

struct extent layout_measure(struct lettering lettering, const char *text);

struct box {
    double left, top, right, bottom;
};

/* The box of a text whose point is (x, y), as figure_text takes it. */
struct box layout_text_box(double x, double y, struct lettering lettering, const char *text);

/* The same without the room above capitals and below descenders. */
struct box layout_ink_box(double x, double y, struct lettering lettering, const char *text);

/* Adds text to the figure in lines no wider than `width`, the first on baseline y, layout_leading
 * apart, at most `most` of them: what is left over gives way to an ellipsis. Returns the number of
 * lines. With `figure` NULL it only counts them. */
size_t layout_text(struct figure *figure, double x, double y, struct lettering lettering, double width,
                   size_t most, const char *text);
double layout_leading(enum role role);

bool box_overlaps(const struct box *a, const struct box *b); /* sharing an edge is no overlap */

/* A tag is a label that asks for a box and says how far it may be moved from there. */
struct tag {
    struct box wish;
    double reach_x, reach_y; /* at most this far either way; 0: not at all */
    int rank;                /* lower ranks choose first; equal ones in the order given */
    struct box box;          /* out: where it stands */
    bool placed;             /* out */
};

/* Places the tags inside `frame`, clear of the `taken` boxes and of each other by `gap`, each at the
 * free place nearest to its wish. A tag for which there is none is dropped (placed is false, box is its
 * wish) and leaves its room to the others. Returns how many were dropped: the reader must be told. */
size_t layout_place(struct tag *tags, size_t tag_count, const struct box *taken, size_t taken_count,
                    struct box frame, double gap);

/* Boxes that cover a line, one for each stretch of `stride` along x, for `taken`. Writes at most
 * `limit` boxes; returns how many. A NaN point leaves a hole. */
size_t layout_line_boxes(const struct point *points, size_t count, double stride, struct box *ret_boxes,
                         size_t limit);

#endif
