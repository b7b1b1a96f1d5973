#include "report/listing.h"

#include "base/memory.h"
#include "base/text.h"

#include <stdarg.h>

struct listing listing_of(size_t columns)
{
    return (struct listing){.columns = columns};
}

void listing_free(struct listing *listing)
{
    for (size_t k = 0; k < listing->count; k++)
        free(listing->cells[k]);
    free(listing->cells);
    *listing = (struct listing){0};
}

void listing_add(struct listing *listing, const char *format, ...)
{
    va_list arguments, again;
    va_start(arguments, format);
    va_copy(again, arguments);
    int length = vsnprintf(NULL, 0, format, again);
    va_end(again);
    char *cell = memory_get((size_t)(length > 0 ? length : 0) + 1);
    if (length > 0)
        vsnprintf(cell, (size_t)length + 1, format, arguments);
    va_end(arguments);
    listing->cells = memory_grow(listing->cells, listing->count, &listing->capacity);
    listing->cells[listing->count++] = cell;
}

size_t listing_rows(const struct listing *listing)
{
    return listing->columns > 0 ? (listing->count + listing->columns - 1) / listing->columns : 0;
}

const char *listing_cell(const struct listing *listing, size_t row, size_t column)
{
    size_t at = row * listing->columns + column;
    return at < listing->count ? listing->cells[at] : "";
}
