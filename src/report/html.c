#include "report/html.h"

#include "draw/paper.h"

/* Characters up to the next emphasis mark, control character or fault of UTF-8. */
static size_t plain_length(const char *p)
{
    size_t n = 0;
    while ((unsigned char)p[n] >= 0x20 && p[n] != 0x7f)
        n++;
    return span_bad_utf8((struct span){p, n});
}

struct emphasis {
    bool strong, italic, soft;
};

static void close_emphasis(struct text *html, struct emphasis *emphasis)
{
    text_add(html, emphasis->soft ? "</small>" : "");
    text_add(html, emphasis->italic ? "</em>" : "");
    text_add(html, emphasis->strong ? "</strong>" : "");
    *emphasis = (struct emphasis){0};
}

/* The mark at p, or another character that cannot stand in a page. Elements are closed in the order opposite to
 * their opening: strong, italic, soft. */
static void take_mark(struct text *html, char mark, struct emphasis *emphasis)
{
    struct emphasis next = *emphasis;
    next.strong |= mark == *PAPER_STRONG;
    next.italic |= mark == *PAPER_ITALIC;
    next.soft |= mark == *PAPER_SOFT;
    if (mark == *PAPER_PLAIN)
        next = (struct emphasis){0};
    close_emphasis(html, emphasis);
    text_add(html, next.strong ? "<strong>" : "");
    text_add(html, next.italic ? "<em>" : "");
    text_add(html, next.soft ? "<small>" : "");
    *emphasis = next;
}

void html_verbatim(struct text *html, const char *words)
{
    struct emphasis emphasis = {0};
    struct text plain = TEXT_EMPTY;
    for (const char *p = words; *p != '\0';) {
        size_t n = plain_length(p);
        plain.length = 0;
        text_add_bytes(&plain, p, n);
        text_add_escaped(html, plain.s);
        p += n;
        if (*p == '\0')
            break;
        if (*p >= *PAPER_STRONG && *p <= *PAPER_PLAIN)
            take_mark(html, *p, &emphasis);
        else if (*p == '\n')
            text_add(html, "<br>");
        else
            text_add(html, (unsigned char)*p < 0x20 || *p == 0x7f ? " " : "\xef\xbf\xbd");
        p++;
    }
    close_emphasis(html, &emphasis);
    text_free(&plain);
}

void html_words(struct text *html, const char *words)
{
    struct text set = TEXT_EMPTY;
    text_add_signed(&set, words);
    html_verbatim(html, text_string(&set));
    text_free(&set);
}

void html_element(struct text *html, const char *tag, const char *words)
{
    if (words[0] == '\0')
        return;
    text_addf(html, "<%s>", tag);
    html_words(html, words);
    text_addf(html, "</%.*s>\n", (int)strcspn(tag, " "), tag);
}

void html_pairs(struct text *html, const struct listing *rows)
{
    if (listing_rows(rows) == 0)
        return;
    text_add(html, "<dl>\n");
    for (size_t k = 0; k < listing_rows(rows); k++) {
        text_add(html, "<div><dt>");
        html_words(html, listing_cell(rows, k, 0));
        text_add(html, "</dt><dd>");
        html_words(html, listing_cell(rows, k, 1));
        text_add(html, "</dd></div>\n");
    }
    text_add(html, "</dl>\n");
}

/* A column in which no row says anything is left out; the first names the row. */
static bool says_something(const struct listing *rows, size_t column)
{
    bool any = column == 0;
    for (size_t k = 0; k < listing_rows(rows); k++)
        any |= listing_cell(rows, k, column)[0] != '\0';
    return any;
}

static void add_head(struct text *html, const char *const *heads, const struct listing *rows)
{
    text_add(html, "<thead><tr>");
    for (size_t c = 0; c < rows->columns; c++) {
        if (!says_something(rows, c))
            continue;
        bool right = heads[c][0] == '>';
        text_add(html, right ? "<th scope=\"col\" class=\"n\">" : "<th scope=\"col\">");
        html_words(html, heads[c] + (right || heads[c][0] == '='));
        text_add(html, "</th>");
    }
    text_add(html, "</tr></thead>\n<tbody>\n");
}

void html_table(struct text *html, const char *caption, const char *const *heads, const struct listing *rows)
{
    if (listing_rows(rows) == 0)
        return;
    text_add(html, "<div class=\"scroll\" tabindex=\"0\" role=\"region\" aria-label=\"");
    html_words(html, caption);
    text_add(html, "\"><table>\n");
    html_element(html, "caption", caption);
    add_head(html, heads, rows);
    for (size_t k = 0; k < listing_rows(rows); k++) {
        text_add(html, "<tr>");
        for (size_t c = 0; c < rows->columns; c++) {
            if (!says_something(rows, c))
                continue;
            text_add(html, c == 0 ? "<th scope=\"row\"" : "<td");
            text_add(html, heads[c][0] == '>' ? " class=\"n\">" : ">");
            if (heads[c][0] == '=') {
                text_add(html, "<code>");
                html_verbatim(html, listing_cell(rows, k, c));
                text_add(html, "</code>");
            } else {
                html_words(html, listing_cell(rows, k, c));
            }
            text_add(html, c == 0 ? "</th>" : "</td>");
        }
        text_add(html, "</tr>\n");
    }
    text_add(html, "</tbody></table></div>\n");
}

void html_base64(struct text *html, struct span bytes)
{
    static const char letters[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    for (size_t k = 0; k < bytes.n; k += 3) {
        size_t left = bytes.n - k < 3 ? bytes.n - k : 3;
        unsigned three = 0;
        for (size_t j = 0; j < 3; j++)
            three = three << 8 | (j < left ? (unsigned char)bytes.p[k + j] : 0U);
        char four[4];
        for (size_t j = 0; j < 4; j++)
            four[j] = j <= left ? letters[three >> (18 - 6 * j) & 63] : '=';
        text_add_bytes(html, four, 4);
    }
}
