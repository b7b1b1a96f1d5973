/* Text: a growable string, and a borrowed span of characters. UTF-8 throughout. */
#ifndef RUNDOWN_BASE_TEXT_H
#define RUNDOWN_BASE_TEXT_H

#include <stdbool.h>
#include <stddef.h>

/* Invariant: s is NULL and everything 0, or s[length] == '\0' and length < capacity. */
struct text {
    char *s;
    size_t length, capacity;
};

#define TEXT_EMPTY ((struct text){NULL, 0, 0})

void text_add(struct text *text, const char *s);
void text_add_bytes(struct text *text, const char *bytes, size_t count);
__attribute__((format(printf, 2, 3))) void text_addf(struct text *text, const char *format, ...);
void text_free(struct text *text); /* leaves TEXT_EMPTY */
const char *text_string(const struct text *text); /* "" when empty; borrowed */

/* Escapes & < > " ' for XML and HTML. */
void text_add_escaped(struct text *text, const char *s);

/* A hyphen that stands for a minus, before a digit and after nothing, a blank, a bracket or an arrow, becomes U+2212: for
 * what people read. Dates, names and ranges keep theirs. */
void text_add_signed(struct text *text, const char *s);

/* A span is borrowed: it points into somebody else's characters and is not terminated. */
struct span {
    const char *p;
    size_t n;
};

struct span span_of(const char *s);
struct span span_trim(struct span span); /* blanks, tabs, CR, LF and no-break spaces at both ends */
struct span span_take_word(struct span *rest); /* the next word between blanks and tabs, which `rest` loses; n 0: none */
bool span_is(struct span span, const char *s);         /* same bytes */
bool span_is_word(struct span span, const char *word); /* same, ASCII case folded */
bool span_has_word(struct span span, const char *word); /* contains, ASCII case folded */
void span_copy(struct span span, char *buffer, size_t size); /* truncates at a whole character */

/* The first byte that is not part of well-formed UTF-8 (RFC 3629), or a zero byte; span.n when all is well. */
size_t span_bad_utf8(struct span span);

/* Number of terminal columns that UTF-8 text takes, counting each code point as one. */
size_t text_width(const char *s);

/* Reads a whole file (at most `limit` bytes). Returns 0, or an errno value; EFBIG over the limit. */
int text_read_file(const char *path, size_t limit, struct text *ret_text);

#endif
