/* Flow: strips of a page stacked from the top down, and the pages they fall on. Inside of `paper`.
 *
 * A strip is what is never torn apart: a line of a paragraph, a row of a table, a figure. It holds
 * pieces at places of its own. Strips are kept until it is known where they stand, since one that
 * keeps with the next cannot be placed before it; nothing is drawn until the end. */
#ifndef RUNDOWN_DRAW_FLOW_H
#define RUNDOWN_DRAW_FLOW_H

#include "draw/canvas.h"
#include "draw/letters.h"

typedef struct _cairo_surface cairo_surface_t;

#define FLOW_MOST_COLUMNS 4

enum piece_kind { PIECE_WORDS, PIECE_RULE, PIECE_FIGURE, PIECE_PHOTOGRAPH };

struct piece {
    enum piece_kind kind;
    double x, y;  /* in the strip; of words the baseline */
    double width; /* of a rule its length, of a figure or a photograph its width */
    enum ink ink;
    double thickness;     /* of a rule */
    PangoLayout *layout;  /* of words: owned reference */
    int line;             /* of the layout */
    struct figure figure; /* owned */
    cairo_surface_t *photograph; /* owned reference */
};

struct strip {
    double before, height; /* `before` vanishes at the top of a page */
    size_t first, count;   /* pieces */
    bool keep_next;
    size_t head, head_end; /* strips to repeat above when a page starts here; none when equal */
    size_t column;
};

struct placement {
    size_t strip;
    int page; /* from 0 */
    double y;
};

struct flow {
    double width, height; /* of the text on a page */
    struct piece *pieces;
    size_t piece_count, piece_capacity;
    struct strip *strips;
    size_t strip_count, strip_capacity;
    struct placement *placed;
    size_t placed_count, placed_capacity;
    size_t settled; /* strips before this one have their place or were dropped */
    int page;       /* where the next strip goes, as far as is settled */
    double y;
    bool keeping;
    bool last_keeps;                   /* keep_next that the last strip would have outside a keep */
    size_t column_count, column;       /* 0 columns: none open */
    size_t column_strip, column_piece; /* first of the columns */
    double column_left[FLOW_MOST_COLUMNS], column_width[FLOW_MOST_COLUMNS];
};

void flow_init(struct flow *flow, double width, double height);
void flow_free(struct flow *flow);

/* Opens a strip; pieces go into it until the next is opened. */
void flow_strip(struct flow *flow, double before, double height, bool keep_next);
/* Room below what has been set; it vanishes at the top of a page. */
void flow_space(struct flow *flow, double height);
void flow_repeat(struct flow *flow, size_t head, size_t head_end); /* for the open strip */

/* Takes a reference of its own to the layout. */
void flow_words(struct flow *flow, PangoLayout *layout, int line, double x, double baseline, enum ink ink);
void flow_rule(struct flow *flow, double x, double y, double width, enum ink ink, double thickness);
void flow_figure(struct flow *flow, const struct figure *figure, double x, double width);
/* Takes a reference of its own. */
void flow_photograph(struct flow *flow, cairo_surface_t *photograph, double x, double width);

void flow_break(struct flow *flow);
void flow_keep(struct flow *flow);
void flow_keep_end(struct flow *flow);
void flow_columns(struct flow *flow, size_t count, const double *shares, double gap);
void flow_next_column(struct flow *flow);
void flow_columns_end(struct flow *flow);

/* Takes over the strips of `more`, which is of the same width, and leaves it empty. */
void flow_append(struct flow *flow, struct flow *more);

double flow_width(const struct flow *flow);
/* Where the next strip would start, if what is still open falls where it now seems to. */
void flow_where(const struct flow *flow, int *ret_page, double *ret_y);

/* Gives every strip its place; the strips themselves may be added to afterwards. */
void flow_settle(struct flow *flow);
void flow_draw(const struct flow *flow, cairo_t *cairo, int page); /* origin: the text's top left */

#endif
