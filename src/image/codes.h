/* Codes: QR, Code 128 and Data Matrix in a picture, several of each, turned any way.
 *
 * ZBar reads QR codes and bars, libdmtx Data Matrix. The picture is halved again and again; in each size the places that are
 * busy as print is (windows.h) are searched, the clearest first, as they are and with their contrast evened out for
 * gloss and shade, and so many of them at most: time is bounded by that, not by a clock, and the same picture gives the same
 * codes. Read are codes whose modules are 4 pixels and more, leaning by up to 30 degrees, out of focus by 1.5 pixels
 * (tests/photo shows how far each goes). What is read twice at one place is one code; the same words at two places are two.
 * Bars count when three lines read the same. A code that was not found may still be there: type it. */
#ifndef RUNDOWN_IMAGE_CODES_H
#define RUNDOWN_IMAGE_CODES_H

#include "image/image.h"

enum code_kind { CODE_QR, CODE_DATA_MATRIX, CODE_BARS };
const char *code_kind_name(enum code_kind kind); /* "QR", "Data Matrix", "Code 128" */

enum { CODE_TEXT = 256 };

struct code {
    enum code_kind kind;
    char text[CODE_TEXT]; /* as it was encoded; control characters become blanks */
    double x, y;          /* its middle, as shares of width and height */
};

/* At most `room`; returns how many. Four in 12 megapixels take some tenths of a second, a busy picture without any one or two. */
size_t codes_find(const struct image *image, struct code *ret_codes, size_t room);

#endif
