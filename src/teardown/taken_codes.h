/* Taken codes: what was read off photographs of cells, put into the file of the opened sample as `code = …` lines of
 * its cells. */
#ifndef RUNDOWN_TEARDOWN_TAKEN_CODES_H
#define RUNDOWN_TEARDOWN_TAKEN_CODES_H

#include "teardown/cell_code.h"
#include "teardown/opened.h"

/* Into the item of that slug where it is one of cells, else the first of cells, else a new one, below a remark that
 * names the `source`, as "picture 3, cells.jpg". A code that stands there already, however it is spaced, is left out.
 * All other bytes stay as they were; *ret_added may be 0. `invented`: what is begun here says so. */
enum status taken_codes_put(struct span opened, const char *slug, bool invented, const char *source,
                            const struct cell_code *codes, size_t count, struct text *ret_text, size_t *ret_added,
                            struct message *message);

#endif
