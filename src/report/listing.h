/* Listing: rows of words, made once and set by the sheet and the page alike.
 *
 * Cells are filled row by row; a row that is not full reads as if empty cells followed. Words may hold the
 * emphasis marks of draw/paper.h. */
#ifndef RUNDOWN_REPORT_LISTING_H
#define RUNDOWN_REPORT_LISTING_H

#include <stddef.h>

struct listing {
    size_t columns;
    char **cells; /* owned; never NULL */
    size_t count, capacity;
};

struct listing listing_of(size_t columns);
void listing_free(struct listing *listing);

__attribute__((format(printf, 2, 3))) void listing_add(struct listing *listing, const char *format, ...);

size_t listing_rows(const struct listing *listing);
const char *listing_cell(const struct listing *listing, size_t row, size_t column);

#endif
