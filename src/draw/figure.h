/* Figure: a list of shapes to draw, in the order they are drawn, later ones on top.
 *
 * Lengths are user units, 1/96 inch (a CSS pixel); y grows downwards; text stands on its baseline. A
 * figure knows no colours, only inks, and no fonts, only roles, so that one list serves the screen in
 * light and dark, a printed page and a picture file. It owns everything it is handed: strings and
 * points are copied.
 *
 * A NaN or infinite point breaks a line; a shape placed at one is left out, since a value that is not
 * known has no place on a scale. Text may be any bytes: what is not UTF-8 becomes U+FFFD and control
 * characters become blanks. */
#ifndef RUNDOWN_DRAW_FIGURE_H
#define RUNDOWN_DRAW_FIGURE_H

#include "base/text.h"
#include "draw/ink.h"

enum line { LINE_SOLID, LINE_DASHED, LINE_DOTTED };

struct stroke {
    enum ink ink;
    double width; /* 0: not drawn */
    enum line line;
};

enum anchor { ANCHOR_START, ANCHOR_MIDDLE, ANCHOR_END };

enum role {
    ROLE_LABEL,   /* 14: names, direct labels */
    ROLE_SMALL,   /* 12.5: ticks, captions, reasons */
    ROLE_HEADING, /* 16 */
    ROLE_TITLE,   /* 27 */
    ROLE_COUNT
};

/* All zero: a plain label in the main ink that starts at its point. */
struct lettering {
    enum role role;
    enum ink ink;
    enum anchor anchor;
    bool strong, italic;
    bool halo; /* paper behind the letters, so that no line runs through them */
};

struct point {
    double x, y;
};

enum shape_kind {
    SHAPE_LINE,      /* open line through `count` points */
    SHAPE_AREA,      /* closed outline through `count` points */
    SHAPE_RECT,      /* top left and bottom right corner */
    SHAPE_CIRCLE,    /* centre, and (radius, radius) */
    SHAPE_TEXT,      /* its point on the baseline */
    SHAPE_GROUP,     /* opens a group */
    SHAPE_GROUP_END, /* closes it */
};

struct item {
    enum shape_kind kind;
    size_t first, count; /* its points, in figure.points */
    enum ink fill;
    struct stroke stroke;
    struct lettering lettering;
    size_t text, description; /* for figure_string */
};

struct figure {
    double width, height;
    size_t name, description; /* for figure_string */
    struct item *shapes;
    size_t count, capacity;
    struct point *points;
    size_t point_count, point_capacity;
    struct text strings; /* each closed by a NUL; offset 0 is "" */
};

/* `name` and `description` say what the figure shows to those who cannot see it. */
void figure_init(struct figure *figure, double width, double height, const char *name,
                 const char *description);
void figure_free(struct figure *figure);                                /* safe on a zeroed or freed figure */
void figure_copy(const struct figure *figure, struct figure *ret_copy); /* free both */

void figure_line(struct figure *figure, double x1, double y1, double x2, double y2, struct stroke stroke);
void figure_polyline(struct figure *figure, const struct point *points, size_t count, struct stroke stroke);
void figure_area(struct figure *figure, const struct point *points, size_t count, enum ink fill,
                 struct stroke stroke);
void figure_rect(struct figure *figure, double x, double y, double width, double height, enum ink fill,
                 struct stroke stroke);
void figure_circle(struct figure *figure, double x, double y, double radius, enum ink fill,
                   struct stroke stroke);
void figure_text(struct figure *figure, double x, double y, struct lettering lettering, const char *text);

/* Shapes between the two calls belong together; hovering shows the name, a screen reader says it.
 * Groups may be nested; one left open is closed at the end of the figure. */
void figure_group(struct figure *figure, const char *name, const char *description);
void figure_group_end(struct figure *figure);

const char *figure_string(const struct figure *figure, size_t string); /* borrowed */

/* Size of a role's letters in user units. */
double figure_letter_size(enum role role);

/* Dash lengths of a line style: on and off, in user units. False when solid. */
bool figure_dashes(enum line line, double ret_on_off[2]);

#define STROKE_NONE ((struct stroke){INK_NONE, 0, LINE_SOLID})

#endif
