#include "archive/csv.h"

static void add_quoted(struct span words, struct text *text)
{
    text_add(text, "\"");
    for (size_t k = 0; k < words.n; k++) {
        text_add_bytes(text, &words.p[k], 1);
        if (words.p[k] == '"')
            text_add(text, "\"");
    }
    text_add(text, "\"");
}

static void add_name(const char *name, const char *unit, struct text *text)
{
    struct text words = TEXT_EMPTY;
    text_addf(&words, unit[0] != '\0' ? "%s (%s)" : "%s", name, unit);
    bool plain = strpbrk(text_string(&words), ",\"\r\n") == NULL;
    if (plain)
        text_add(text, text_string(&words));
    else
        add_quoted((struct span){words.s, words.length}, text);
    text_free(&words);
}

void csv_add_header(const struct book_stream *stream, struct text *text)
{
    text_add(text, "time (s)");
    for (int c = 0; c < stream->columns; c++) {
        text_add(text, ",");
        add_name(stream->column[c].name, stream->column[c].unit_symbol, text);
    }
    text_add(text, "\r\n");
}

static void add_cell(struct decimal cell, const char **odd, struct text *text)
{
    char digits[DECIMAL_TEXT];
    if (cell.kind == DECIMAL_ODD) {
        size_t n = *odd != NULL ? strcspn(*odd, "\n") : 0;
        add_quoted((struct span){*odd, n}, text);
        *odd += *odd != NULL ? n + ((*odd)[n] == '\n') : 0;
        return;
    }
    decimal_print(cell, digits);
    text_add(text, digits);
}

void csv_add_block(const struct block_columns *block, struct text *text)
{
    const char *odd = block->odd;
    for (size_t k = 0; k < block->count; k++) {
        for (int c = 0; c < block->columns; c++) {
            if (c > 0)
                text_add(text, ",");
            add_cell(block->cells[c][k], &odd, text);
        }
        text_add(text, "\r\n");
    }
}

/* From behind the opening quote; returns what stands behind the closing one, NULL when there is none. */
static const char *take_quoted(const char *p, const char *end, struct text *odd)
{
    while (p < end) {
        if (*p == '"' && (p + 1 == end || p[1] != '"')) {
            text_add(odd, "\n");
            return p + 1;
        }
        text_add_bytes(odd, p, 1);
        p += *p == '"' ? 2 : 1;
    }
    return NULL;
}

static const char *take_cell(const char *p, const char *end, struct decimal *cell, struct text *odd)
{
    *cell = (struct decimal){.kind = DECIMAL_MISSING};
    if (p == end || *p == ',')
        return p;
    if (*p == '"') {
        cell->kind = DECIMAL_ODD;
        return take_quoted(p + 1, end, odd);
    }
    if (end - p >= 2 && memcmp(p, "OL", 2) == 0) {
        cell->kind = DECIMAL_OVERLOAD;
        return p + 2;
    }
    size_t used = decimal_read((struct span){p, (size_t)(end - p)}, '.', cell);
    return used > 0 && cell->kind != DECIMAL_ODD ? p + used : NULL;
}

bool csv_take_line(struct span line, int columns, size_t row, struct decimal *const *cells, struct text *odd,
                   int *ret_column)
{
    const char *p = line.p, *end = p + line.n;
    for (int c = 0; c < columns; c++) {
        const char *next = take_cell(p, end, &cells[c][row], odd);
        bool last = c == columns - 1;
        if (next == NULL || (last ? next != end : next == end || *next != ',')) {
            *ret_column = c + 1;
            return false;
        }
        p = next + !last;
    }
    return true;
}
