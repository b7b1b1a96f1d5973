#include "cli/table_text.h"

enum { COLUMNS = 16 };

static size_t width_of(const struct listing *listing, size_t column)
{
    size_t width = 0;
    for (size_t row = 0; row < listing_rows(listing); row++) {
        size_t one = text_width(listing_cell(listing, row, column));
        width = one > width ? one : width;
    }
    return width;
}

static void add_blanks(struct text *text, size_t count)
{
    while (count-- > 0)
        text_add(text, " ");
}

void table_text(const struct listing *listing, int indent, struct text *text)
{
    size_t widths[COLUMNS] = {0};
    for (size_t column = 0; column < listing->columns && column < COLUMNS; column++)
        widths[column] = width_of(listing, column);
    for (size_t row = 0; row < listing_rows(listing); row++) {
        size_t owed = (size_t)indent;
        for (size_t column = 0; column < listing->columns && column < COLUMNS; column++) {
            const char *cell = listing_cell(listing, row, column);
            if (cell[0] != '\0') {
                add_blanks(text, owed);
                text_add(text, cell);
                owed = 0;
            }
            owed += 2 + widths[column] - text_width(cell);
        }
        text_add(text, "\n");
    }
}
