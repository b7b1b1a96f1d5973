#include "teardown/opened_sections.h"

#include <limits.h>
#include <string.h>

static struct span line_at(const struct opened_sections *walk)
{
    struct span rest = {walk->text.p + walk->at, walk->text.n - walk->at};
    const char *end = memchr(rest.p, '\n', rest.n);
    return end != NULL ? (struct span){rest.p, (size_t)(end - rest.p) + 1} : rest;
}

/* The heading's name, or p NULL for a line that is none. */
static struct span heading_of(struct span line)
{
    struct span text = span_trim(line);
    const char *end = text.n > 0 && text.p[0] == '[' ? memchr(text.p, ']', text.n) : NULL;
    return end != NULL ? span_trim((struct span){text.p + 1, (size_t)(end - text.p) - 1}) : (struct span){0};
}

static bool says_something(struct span line)
{
    struct span text = span_trim(line);
    return text.n > 0 && text.p[0] != '#' && text.p[0] != ';';
}

bool opened_sections_next(struct opened_sections *walk, struct opened_section *ret_section)
{
    struct opened_section found = {.next = LONG_MAX};
    bool inside = false;
    if (walk->at == 0 && walk->text.n >= 3 && memcmp(walk->text.p, "\xEF\xBB\xBF", 3) == 0)
        walk->at = 3;
    while (walk->at < walk->text.n) {
        struct span line = line_at(walk), name = heading_of(line);
        if (name.p != NULL && inside) {
            found.next = walk->line + 1;
            break;
        }
        if (name.p != NULL) {
            inside = true;
            found.name = name;
            found.begin = walk->at;
            found.line = walk->line + 1;
        }
        walk->at += line.n;
        walk->line++;
        if (inside && says_something(line))
            found.end = walk->at;
    }
    if (inside)
        *ret_section = found;
    return inside;
}

static bool is_joint(char c)
{
    return c == ' ' || c == '\t' || c == '_' || c == '-';
}

/* Bytes of `section` that say the kind; 0: it does not start with it. */
static size_t kind_at(struct span section, const char *kind)
{
    size_t k = 0;
    for (; *kind != '\0'; kind++) {
        size_t joints = k;
        while (*kind == ' ' && joints < section.n && is_joint(section.p[joints]))
            joints++;
        if (joints > k) {
            k = joints;
            continue;
        }
        char c = k < section.n ? section.p[k] : '\0';
        if ((c >= 'A' && c <= 'Z' ? c - 'A' + 'a' : c) != *kind)
            return 0;
        k++;
    }
    return k == section.n || is_joint(section.p[k]) ? k : 0;
}

enum opened_kind opened_section_kind(struct span section, struct span *ret_name)
{
    for (int kind = 0; kind < OPENED_KINDS; kind++) {
        size_t used = kind_at(section, opened_kind_words[kind]);
        if (used == 0)
            continue;
        *ret_name = span_trim((struct span){section.p + used, section.n - used});
        return (enum opened_kind)kind;
    }
    return OPENED_KINDS;
}
