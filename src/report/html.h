/* HTML: words, listings and figures as parts of a page. Whatever comes from outside is escaped, made valid
 * UTF-8 and freed of control characters; emphasis marks of draw/paper.h become elements. A hyphen before a number becomes
 * a minus. */
#ifndef RUNDOWN_REPORT_HTML_H
#define RUNDOWN_REPORT_HTML_H

#include "base/text.h"
#include "draw/figure.h"
#include "report/listing.h"

void html_words(struct text *html, const char *words);
void html_verbatim(struct text *html, const char *words); /* as in a file: hyphens stay */
void html_element(struct text *html, const char *tag, const char *words);

/* Rows as a definition list; nothing when there are none. 2 columns. */
void html_pairs(struct text *html, const struct listing *rows);

/* A table that scrolls by itself where the screen is narrow. `heads` names the columns; a head that begins
 * with `>` sets its column flush right, as numbers are; one with `=` sets it as it stands in a file. A column without words in any row
 * is left out; nothing when there are no rows. */
void html_table(struct text *html, const char *caption, const char *const *heads, const struct listing *rows);

/* Bytes in base 64 (RFC 4648, section 4). */
void html_base64(struct text *html, struct span bytes);

#endif
