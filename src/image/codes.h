/* Codes: QR, Code 128 and Data Matrix in a picture, several of each, turned any way.
 *
 * ZBar reads QR codes and bars, libdmtx Data Matrix. The picture is tried as it is (no side longer than CODES_SIDE) and
 * then with its local contrast evened out, for gloss and shade. What is read
 * twice at one place is one code; the same words at two places are two. A code that was not found may still be there:
 * type it. */
#ifndef RUNDOWN_IMAGE_CODES_H
#define RUNDOWN_IMAGE_CODES_H

#include "image/image.h"

enum code_kind { CODE_QR, CODE_DATA_MATRIX, CODE_BARS };
const char *code_kind_name(enum code_kind kind); /* "QR", "Data Matrix", "Code 128" */

enum { CODES_SIDE = 2400, CODE_TEXT = 256 };

struct code {
    enum code_kind kind;
    char text[CODE_TEXT]; /* as it was encoded; control characters become blanks */
    double x, y;          /* its middle, as shares of width and height */
};

/* At most `room`; returns how many. Takes some hundred milliseconds. */
size_t codes_find(const struct image *image, struct code *ret_codes, size_t room);

#endif
