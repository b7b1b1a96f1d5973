#include "base/text.h"

#include "base/memory.h"

#include <ctype.h>
#include <errno.h>
#include <stdarg.h>

static void make_room(struct text *text, size_t more)
{
    if (text->length + more < text->capacity)
        return;
    size_t wanted = text->capacity + text->capacity / 2 + more + 32;
    text->s = memory_resize(text->s, wanted, 1);
    text->capacity = wanted;
}

void text_add_bytes(struct text *text, const char *bytes, size_t count)
{
    make_room(text, count + 1);
    if (count > 0)
        memcpy(text->s + text->length, bytes, count);
    text->length += count;
    text->s[text->length] = '\0';
}

void text_add(struct text *text, const char *s)
{
    text_add_bytes(text, s, strlen(s));
}

void text_addf(struct text *text, const char *format, ...)
{
    va_list args, again;
    va_start(args, format);
    va_copy(again, args);
    int count = vsnprintf(NULL, 0, format, args);
    va_end(args);
    if (count > 0) {
        make_room(text, (size_t)count + 1);
        vsnprintf(text->s + text->length, (size_t)count + 1, format, again);
        text->length += (size_t)count;
    }
    va_end(again);
}

void text_free(struct text *text)
{
    free(text->s);
    *text = TEXT_EMPTY;
}

const char *text_string(const struct text *text)
{
    return text->s != NULL ? text->s : "";
}

/* Whether what ends before p lets a number begin there. */
static bool number_may_begin(const char *start, const char *p)
{
    static const char arrow[] = "→";
    size_t before = (size_t)(p - start), n = sizeof arrow - 1;
    return before == 0 || (unsigned char)p[-1] <= ' ' || p[-1] == '(' || (before >= n && memcmp(p - n, arrow, n) == 0);
}

void text_add_signed(struct text *text, const char *s)
{
    const char *from = s;
    for (const char *p = s; *p != '\0'; p++) {
        if (*p != '-' || p[1] < '0' || p[1] > '9' || !number_may_begin(s, p))
            continue;
        text_add_bytes(text, from, (size_t)(p - from));
        text_add(text, "−");
        from = p + 1;
    }
    text_add(text, from);
}

void text_add_escaped(struct text *text, const char *s)
{
    for (; *s != '\0'; s++) {
        switch (*s) {
        case '&': text_add(text, "&amp;"); break;
        case '<': text_add(text, "&lt;"); break;
        case '>': text_add(text, "&gt;"); break;
        case '"': text_add(text, "&quot;"); break;
        case '\'': text_add(text, "&#39;"); break;
        default: text_add_bytes(text, s, 1);
        }
    }
}

struct span span_of(const char *s)
{
    return (struct span){s, strlen(s)};
}

static size_t blank_at_start(struct span span)
{
    if (span.n >= 1 && strchr(" \t\r\n\v\f", span.p[0]) != NULL && span.p[0] != '\0')
        return 1;
    return span.n >= 2 && memcmp(span.p, "\xC2\xA0", 2) == 0 ? 2 : 0;
}

static size_t blank_at_end(struct span span)
{
    if (span.n >= 1 && span.p[span.n - 1] != '\0' && strchr(" \t\r\n\v\f", span.p[span.n - 1]) != NULL)
        return 1;
    return span.n >= 2 && memcmp(span.p + span.n - 2, "\xC2\xA0", 2) == 0 ? 2 : 0;
}

struct span span_trim(struct span span)
{
    for (size_t k; (k = blank_at_start(span)) > 0;) {
        span.p += k;
        span.n -= k;
    }
    for (size_t k; (k = blank_at_end(span)) > 0;)
        span.n -= k;
    return span;
}

struct span span_take_word(struct span *rest)
{
    *rest = span_trim(*rest);
    size_t n = 0;
    while (n < rest->n && rest->p[n] != ' ' && rest->p[n] != '\t')
        n++;
    struct span word = {rest->p, n};
    rest->p += n, rest->n -= n;
    return word;
}

bool span_is(struct span span, const char *s)
{
    return span.n == strlen(s) && memcmp(span.p, s, span.n) == 0;
}

static bool same_folded(const char *a, const char *b, size_t n)
{
    for (size_t k = 0; k < n; k++)
        if (tolower((unsigned char)a[k]) != tolower((unsigned char)b[k]))
            return false;
    return true;
}

bool span_is_word(struct span span, const char *word)
{
    return span.n == strlen(word) && same_folded(span.p, word, span.n);
}

bool span_has_word(struct span span, const char *word)
{
    size_t n = strlen(word);
    for (size_t k = 0; k + n <= span.n; k++)
        if (same_folded(span.p + k, word, n))
            return true;
    return false;
}

void span_copy(struct span span, char *buffer, size_t size)
{
    if (size == 0)
        return;
    size_t n = span.n < size - 1 ? span.n : size - 1;
    while (n > 0 && n < span.n && ((unsigned char)span.p[n] & 0xC0) == 0x80)
        n--;
    if (n > 0)
        memcpy(buffer, span.p, n);
    buffer[n] = '\0';
}

/* Length of the character at the start, 0 when it is malformed: overlong, a surrogate, past U+10FFFF. */
static size_t character_length(struct span span)
{
    unsigned char lead = (unsigned char)span.p[0];
    size_t n = lead < 0x80                   ? 1
               : lead >= 0xC2 && lead < 0xE0 ? 2
               : lead >= 0xE0 && lead < 0xF0 ? 3
               : lead >= 0xF0 && lead < 0xF5 ? 4
                                             : 0;
    if (lead == 0 || n == 0 || n > span.n)
        return 0;
    for (size_t k = 1; k < n; k++)
        if (((unsigned char)span.p[k] & 0xC0) != 0x80)
            return 0;
    unsigned char second = n > 1 ? (unsigned char)span.p[1] : 0;
    bool outside = (lead == 0xE0 && second < 0xA0) || (lead == 0xED && second >= 0xA0) ||
                   (lead == 0xF0 && second < 0x90) || (lead == 0xF4 && second >= 0x90);
    return outside ? 0 : n;
}

size_t span_bad_utf8(struct span span)
{
    size_t k = 0;
    while (k < span.n) {
        size_t n = character_length((struct span){span.p + k, span.n - k});
        if (n == 0)
            break;
        k += n;
    }
    return k;
}

size_t text_width(const char *s)
{
    size_t width = 0;
    for (; *s != '\0'; s++)
        width += ((unsigned char)*s & 0xC0) != 0x80;
    return width;
}

int text_read_file(const char *path, size_t limit, struct text *ret_text)
{
    FILE *file = fopen(path, "rb");
    if (file == NULL)
        return errno;
    struct text text = TEXT_EMPTY;
    char block[16384];
    size_t count;
    int error = 0;
    while (error == 0 && (count = fread(block, 1, sizeof block, file)) > 0) {
        if (text.length + count > limit)
            error = EFBIG;
        else
            text_add_bytes(&text, block, count);
    }
    if (error == 0 && ferror(file))
        error = errno != 0 ? errno : EIO;
    fclose(file);
    if (error != 0) {
        text_free(&text);
        return error;
    }
    *ret_text = text;
    return 0;
}
