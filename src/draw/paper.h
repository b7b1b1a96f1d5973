/* Paper: a document of printed pages (PDF).
 *
 * What it believes: a sheet reads like a carefully printed certificate. One type family, few sizes,
 * tabular figures, rules and white space in place of boxes, the same inks as the figures, black enough
 * for any printer. Text flows down the page, and what belongs together is not torn apart: a heading
 * stays with what follows, a paragraph leaves no single line behind and a table no single row, a row is
 * whole, and a table that goes on repeats its head. Nothing is lost for want of room: what is too long
 * goes on overleaf.
 *
 * Lengths are points (1/72 inch), y grows downwards from the upper margin. The same calls give the
 * same bytes: the file carries a time only when the caller gives one. Text may hold the emphasis marks
 * below, and otherwise any bytes (see figure.h); nothing has to be escaped. A hyphen before a number is set as a minus. */
#ifndef RUNDOWN_DRAW_PAPER_H
#define RUNDOWN_DRAW_PAPER_H

#include "base/status.h"
#include "base/text.h"
#include "draw/figure.h"

#include <stdint.h>

struct paper; /* opaque */

enum paper_size { PAPER_A4, PAPER_LETTER };

struct paper_about {
    enum paper_size size;
    const char *title, *subject; /* properties of the file; its author stays empty */
    const char *foot;            /* at the foot of every page, before `page 1 of 2` */
    const char *date;            /* ISO 8601 `2024-03-14T10:00:00Z`, or NULL for no time at all */
    void (*words)(const void *context, char *words); /* NULL, or what every text passes before it is set; it may
                                                        change letters, not the length */
    const void *context;         /* borrowed while anything is set */
};

/* Emphasis, from here to PAPER_PLAIN: PAPER_STRONG "met" PAPER_PLAIN " with room to spare". */
#define PAPER_STRONG "\001"
#define PAPER_ITALIC "\002"
#define PAPER_SOFT "\003"
#define PAPER_PLAIN "\004"

struct paper *paper_open(const struct paper_about *about);
void paper_free(struct paper *paper); /* NULL is fine */

/* Level 1: the title of the sheet. 2: a part, under a rule. 3: a heading within a part. */
void paper_heading(struct paper *paper, int level, const char *text);

enum paper_tone {
    PAPER_BODY,
    PAPER_LEAD, /* larger: the answer in a sentence or two */
    PAPER_NOTE, /* smaller and soft: conditions, captions, cautions */
};

/* From here on body text, pairs and tables are set small and close, or no longer: for what is looked up
 * rather than read. Leads and headings stay. */
void paper_small(struct paper *paper, bool small);

/* A line feed starts a new line. */
void paper_paragraph(struct paper *paper, enum paper_tone tone, const char *text);

/* Keys in a column of their own, values beside them; long values wrap. */
struct paper_pair {
    const char *key, *value;
};
void paper_pairs(struct paper *paper, const struct paper_pair *pairs, size_t count);

/* A column is as wide as its widest text when `share` is 0; the others share what is left by their
 * shares, and wrap. When even that is too wide all wrap. */
struct paper_column {
    const char *heading; /* NULL or "" in every column: no head */
    enum anchor anchor;
    double share;
};

/* `cells` row by row; NULL is an empty cell. */
void paper_table(struct paper *paper, const struct paper_column *columns, size_t column_count,
                 const char *const *cells, size_t row_count);

/* The figure is copied, scaled to `width` (0: the full width). Letters shrink with it: a figure made
 * paper_width(paper) / 0.6 units wide prints its labels at 8.4 points. */
void paper_figure(struct paper *paper, const struct figure *figure, double width);

/* A photograph, at most `width` wide (0: the full width) and `height` high. Its JPEG goes into the file byte for byte;
 * the pixels (0x00RRGGBB, row by row) are for pages shown as pictures. Both are copied. A caption below it is set as a
 * note and kept with it; "" none. */
struct paper_photograph {
    const uint32_t *pixels;
    int width, height;
    struct span jpeg;
    const char *caption;
};
void paper_photograph(struct paper *paper, const struct paper_photograph *photograph, double width, double height);

void paper_space(struct paper *paper, double height); /* vanishes at the top of a page */
void paper_rule(struct paper *paper, enum ink ink, double width); /* stays with what follows */
void paper_break(struct paper *paper); /* the next thing starts a page */

/* What comes between the two calls stays on one page if a page can hold it. Not nested. */
void paper_keep(struct paper *paper);
void paper_keep_end(struct paper *paper);

/* Side by side: `count` columns (at most 4) with widths in the ratio of `shares` (NULL: equal),
 * filled one after the other; paper_next_column goes on to the next. They stay on one page; when no
 * page can hold them they are set one below the other. Not nested, not inside a keep. */
void paper_columns(struct paper *paper, size_t count, const double *shares, double gap);
void paper_next_column(struct paper *paper);
void paper_columns_end(struct paper *paper);

/* Moves all that stands in `more`, a paper of the same size, to the end of `paper`: for what has to be measured
 * (paper_y) before it is known what comes above it. Page breaks in `more` are lost. */
void paper_append(struct paper *paper, struct paper *more);

double paper_width(const struct paper *paper);     /* of the text, or of the present column */
int paper_page(const struct paper *paper);         /* from 1 */
double paper_y(const struct paper *paper);         /* where the next thing would start */
double paper_remaining(const struct paper *paper); /* height left on the page below that */

/* The pages as they stand; more may be added afterwards. */
enum status paper_save(struct paper *paper, const char *path, struct message *message);
enum status paper_render(struct paper *paper, struct text *ret_pdf, struct message *message);
/* How many, and one of them (from 1) as a PNG so many pixels wide, from 100 to 4000: for a screen that shows no PDF. */
int paper_pages(struct paper *paper);
enum status paper_picture(struct paper *paper, int page, int pixels, struct text *ret_png, struct message *message);

#endif
