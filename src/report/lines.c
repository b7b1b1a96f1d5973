#include "report/lines.h"

#include "draw/paper.h"

enum { LABEL_WIDTH = 12, INDENT = 2, GAP = 2, TAIL_WIDTH = 9, STATED_LEAST = 12, COLUMNS_MOST = 8 };

static void spaces(struct text *text, int count)
{
    for (int k = 0; k < count; k++)
        text_add(text, " ");
}

/* The first `count` characters. */
static size_t bytes_of(const char *s, int count)
{
    size_t n = 0;
    for (; s[n] != '\0'; n++)
        if (((unsigned char)s[n] & 0xC0) != 0x80 && count-- == 0)
            break;
    return n;
}

/* Cut, or filled with blanks, to the width. */
static void pad(struct text *text, const char *s, int width)
{
    int needed = (int)text_width(s);
    if (needed > width) {
        text_add_bytes(text, s, bytes_of(s, width - 1));
        text_add(text, "…");
        return;
    }
    text_add(text, s);
    spaces(text, width - needed);
}

void lines_wrap(const char *words, int indent, int width, struct text *text)
{
    int at = indent;
    for (const char *p = words; *p != '\0';) {
        size_t n = strcspn(p, " ");
        int length = 0;
        for (size_t k = 0; k < n; k++)
            length += ((unsigned char)p[k] & 0xC0) != 0x80;
        if (at > indent && at + 1 + length > width) {
            text_add(text, "\n");
            spaces(text, indent);
            at = indent;
        } else if (at > indent) {
            text_add(text, " ");
            at++;
        }
        text_add_bytes(text, p, n);
        at += length;
        p += n;
        p += strspn(p, " ");
    }
    text_add(text, "\n");
}

void lines_row(const char *label, const char *words, int width, struct text *text)
{
    spaces(text, INDENT);
    pad(text, label, LABEL_WIDTH);
    lines_wrap(words, INDENT + LABEL_WIDTH, width, text);
}

static void widen(int *column, const char *s)
{
    int width = (int)text_width(s);
    *column = width > *column ? width : *column;
}

/* The cell without marks of emphasis, which are single control characters. */
static void add_plain(const char *cell, struct text *text)
{
    for (; *cell != '\0'; cell++)
        if ((unsigned char)*cell >= ' ')
            text_add_bytes(text, cell, 1);
}

void lines_listing(const struct listing *rows, int width, struct text *text)
{
    int widths[COLUMNS_MOST] = {0};
    size_t last = rows->columns - 1;
    for (size_t r = 0; r < listing_rows(rows); r++)
        for (size_t c = 0; c < last && c < COLUMNS_MOST; c++)
            widen(&widths[c], listing_cell(rows, r, c));
    for (size_t r = 0; r < listing_rows(rows); r++) {
        int at = INDENT;
        spaces(text, INDENT);
        for (size_t c = 0; c < last && c < COLUMNS_MOST; c++) {
            pad(text, listing_cell(rows, r, c), widths[c]);
            spaces(text, GAP);
            at += widths[c] + GAP;
        }
        struct text cell = TEXT_EMPTY;
        add_plain(listing_cell(rows, r, last), &cell);
        lines_wrap(text_string(&cell), at, width, text);
        text_free(&cell);
    }
}

void lines_make_room(const char *name, const char *stated, const char *found, struct claim_columns *columns)
{
    widen(&columns->name, name);
    widen(&columns->stated, stated);
    widen(&columns->found, found);
}

void lines_fit(int width, struct claim_columns *columns)
{
    int room = width - INDENT - columns->name - columns->found - TAIL_WIDTH - 3 * GAP;
    if (columns->stated > room)
        columns->stated = room > STATED_LEAST ? room : STATED_LEAST;
}

void lines_claim(const char *name, const char *stated, const char *found, const char *tail,
                 const struct claim_columns *columns, struct text *text)
{
    spaces(text, INDENT);
    pad(text, name, columns->name);
    spaces(text, GAP);
    if (found[0] == '\0') {
        text_addf(text, "%s\n", stated);
        return;
    }
    pad(text, stated, columns->stated);
    spaces(text, GAP);
    text_add(text, found);
    if (tail[0] != '\0') {
        spaces(text, columns->found - (int)text_width(found) + GAP);
        text_add(text, tail);
    }
    text_add(text, "\n");
}
