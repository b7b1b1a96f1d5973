/* Picture codes: what was read off a picture, and what it says where it is the code of a cell, for commands and pages
 * alike. */
#ifndef RUNDOWN_REPORT_PICTURE_CODES_H
#define RUNDOWN_REPORT_PICTURE_CODES_H

#include "base/json_value.h"
#include "image/codes.h"
#include "teardown/cell_code.h"

enum { PICTURE_CODES = 64 };

/* Those in a picture's bytes, `ret_codes` with room for PICTURE_CODES; `name` is for the message. */
enum status picture_codes(const char *name, struct span bytes, struct code *ret_codes, size_t *ret_count,
                          struct message *message);

/* As long as one on a cell, of letters and digits; only then is it taken apart. */
bool picture_code_is_of_cell(const char *text);

/* Those among them, at most PICTURE_CODES; returns how many. */
size_t picture_codes_of_cells(const struct code *codes, size_t count, struct cell_code *ret_cells);

/* {"codes": [{"kind", "text", "x", "y", "cell"}], "batch"}; `cell` and `batch` null where there is none. */
json_t *picture_codes_json(const struct code *codes, size_t count);

#endif
