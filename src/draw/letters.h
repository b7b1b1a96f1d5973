/* Letters: the one place that chooses fonts, shared by the modules of this folder.
 *
 * Inter, with DejaVu Sans where Inter has no such letter; figures are tabular throughout (OpenType
 * `tnum`), so columns of numbers align. Sizes are user units of the surface and metrics are not
 * hinted, so a text is as wide on a page as in a picture of any scale. */
#ifndef RUNDOWN_DRAW_LETTERS_H
#define RUNDOWN_DRAW_LETTERS_H

#include "base/text.h"

typedef struct _PangoLayout PangoLayout;

/* Emphasis inside a text, for letters_layout. They need no escaping: control characters are never
 * drawn. PLAIN ends all of them. */
#define LETTERS_STRONG "\001"
#define LETTERS_ITALIC "\002"
#define LETTERS_SOFT "\003" /* in the ink of second lines, as `soft` */
#define LETTERS_PLAIN "\004"

/* A laid-out text, not wrapped; g_object_unref it. Emphasis marks are honoured and taken out, a line
 * feed starts a line. `soft` is the 0xRRGGBB of LETTERS_SOFT. */
PangoLayout *letters_layout(const char *text, double size, bool strong, bool italic, unsigned soft);

/* Appends a string made safe to draw and to write as XML (see figure.h) and its NUL; returns the
 * offset at which it starts. NULL is "". */
size_t letters_add_clean(struct text *strings, const char *s);

#endif
