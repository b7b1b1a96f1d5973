/* Is a page well formed? Every element that HTML does not let stand open is closed, in the order opposite to its
 * opening; attributes are quoted; no id stands twice. Enough to see an escape that was forgotten. */
#ifndef RUNDOWN_TESTS_REPORT_WELL_FORMED_H
#define RUNDOWN_TESTS_REPORT_WELL_FORMED_H

#include <stdbool.h>
#include <stdio.h>
#include <string.h>

enum { MOST_DEEP = 64 };

/* HTML 5, void elements, as far as the page uses them. */
static inline bool is_void(const char *name)
{
    static const char *const all[] = {"meta", "br", "hr", "link"};
    for (size_t k = 0; k < sizeof all / sizeof all[0]; k++)
        if (strcmp(all[k], name) == 0)
            return true;
    return false;
}

/* The end of a tag that begins at p, past its `>`; NULL when its quotes are not closed or a `<` stands in it. */
static inline const char *tag_end(const char *p)
{
    bool quoted = false;
    for (p++; *p != '\0'; p++) {
        quoted ^= *p == '"';
        if (!quoted && *p == '<')
            return NULL;
        if (!quoted && *p == '>')
            return p + 1;
    }
    return NULL;
}

/* "" when well formed, else what is wrong and where. */
static inline const char *well_formed(const char *html)
{
    static char fault[200], open[MOST_DEEP][24];
    int depth = 0;
    for (const char *p = html; (p = strchr(p, '<')) != NULL;) {
        bool closing = p[1] == '/';
        const char *end = tag_end(p), *name = p + 1 + closing;
        size_t n = strcspn(name, " \t\r\n/>");
        if (end == NULL || n == 0 || n >= sizeof open[0] || depth == MOST_DEEP) {
            snprintf(fault, sizeof fault, "no tag: %.60s", p);
            return fault;
        }
        char word[24];
        snprintf(word, sizeof word, "%.*s", (int)n, name);
        if (closing && (depth == 0 || strcmp(open[depth - 1], word) != 0)) {
            snprintf(fault, sizeof fault, "</%s> closes %s: %.60s", word, depth > 0 ? open[depth - 1] : "nothing", p);
            return fault;
        }
        if (closing)
            depth--;
        else if (word[0] != '!' && end[-2] != '/' && !is_void(word))
            snprintf(open[depth++], sizeof open[0], "%s", word);
        p = end;
    }
    snprintf(fault, sizeof fault, depth > 0 ? "%s is left open" : "%s", depth > 0 ? open[depth - 1] : "");
    return fault;
}

#endif
