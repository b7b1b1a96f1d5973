/* Canvas: a figure drawn through Cairo, shared by the picture and the page. */
#ifndef RUNDOWN_DRAW_CANVAS_H
#define RUNDOWN_DRAW_CANVAS_H

#include "draw/figure.h"

typedef struct _cairo cairo_t;

/* One user unit of the figure is one unit of the cairo's present coordinates. */
void canvas_draw(cairo_t *cairo, const struct figure *figure, enum palette palette);

void canvas_set_colour(cairo_t *cairo, unsigned rgb);

#endif
