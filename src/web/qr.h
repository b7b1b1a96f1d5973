/* QR codes (ISO/IEC 18004, by libqrencode), for a phone's camera: on a terminal and on a page. */
#ifndef RUNDOWN_WEB_QR_H
#define RUNDOWN_WEB_QR_H

#include "base/text.h"

/* Both add nothing and give false when the words do not fit into a code. */
/* Half-block characters, light on dark whatever the terminal's colours: two rows of squares a line. */
bool qr_add_blocks(const char *words, struct text *text);
/* An <svg> of squares, dark on light, with its quiet zone; `title` is its name for a screen reader. */
bool qr_add_svg(const char *words, const char *title, struct text *text);

#endif
