/* SVG: a figure as text.
 *
 * Text stays text. Coordinates are rounded to 0.01, and the same figure always gives the same bytes.
 * Every class begins with `fig`, every id with the prefix given, so that several figures can stand in
 * one page. */
#ifndef RUNDOWN_DRAW_SVG_H
#define RUNDOWN_DRAW_SVG_H

#include "base/status.h"
#include "draw/figure.h"

/* An <svg> element to put into an HTML page, without a style of its own: colours come through the
 * page's custom properties, so the figure follows light, dark and print with the page. */
void svg_add(const struct figure *figure, const char *id_prefix, struct text *html);

/* The rules those figures need, once a page: custom properties --ink, --soft, --hair, --paper,
 * --first, --second and --band on :root for light, dark and print, and the classes. The page's own
 * rules may use the properties. `data-theme` of the root, "light" or "dark", stands before the reader's system. */
void svg_add_style(struct text *css);

/* A document of its own, which follows light, dark and print by itself. */
void svg_add_document(const struct figure *figure, struct text *svg);
enum status svg_save(const struct figure *figure, const char *path, struct message *message);

#endif
