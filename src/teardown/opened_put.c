#include "teardown/opened_sections.h"

#include <string.h>

static bool section_of(struct span text, const struct opened *opened, const char *slug, struct opened_section *ret_section)
{
    const struct opened_item *item = opened_named(opened, slug);
    struct opened_sections walk = {.text = text};
    while (item != NULL && opened_sections_next(&walk, ret_section))
        if (ret_section->line == item->line)
            return true;
    return false;
}

/* `section` is one item and nothing before it. */
static enum status judge_section(struct span section, struct message *message)
{
    struct opened_sections walk = {.text = section};
    struct opened_section first, second;
    struct span name;
    bool one = opened_sections_next(&walk, &first) && first.begin == 0 && !opened_sections_next(&walk, &second);
    if (one && opened_section_kind(first.name, &name) != OPENED_KINDS)
        return STATUS_OK;
    status_fail(message, STATUS_MALFORMED, "what is to be put there is not one item");
    return status_remedy(message, "begin with its line, as in `[conductor main lead]`, and leave others to themselves");
}

/* With a line's end after it, and the ends of lines that the file has. */
static void add_section(struct text *text, struct span section, bool crlf)
{
    for (size_t k = 0; k < section.n; k++) {
        if (crlf && section.p[k] == '\n' && (k == 0 || section.p[k - 1] != '\r'))
            text_add(text, "\r");
        text_add_bytes(text, section.p + k, 1);
    }
    if (section.n > 0 && section.p[section.n - 1] != '\n')
        text_add(text, crlf ? "\r\n" : "\n");
}

static size_t after_blank_lines(struct span text, size_t at)
{
    size_t end = at;
    for (size_t k = at; k < text.n && strchr(" \t\r\n", text.p[k]) != NULL; k++)
        if (text.p[k] == '\n')
            end = k + 1;
    return end;
}

static bool ends_with(struct span text, const char *end)
{
    size_t n = strlen(end);
    return text.n >= n && memcmp(text.p + text.n - n, end, n) == 0;
}

static void compose(struct span text, const struct opened_section *old, struct span section, struct text *into)
{
    const char *first_end = text.n > 0 ? memchr(text.p, '\n', text.n) : NULL;
    bool crlf = first_end != NULL && first_end > text.p && first_end[-1] == '\r';
    if (old != NULL) {
        size_t rest = section.n == 0 ? after_blank_lines(text, old->end) : old->end;
        text_add_bytes(into, text.p, old->begin);
        add_section(into, section, crlf);
        text_add_bytes(into, text.p + rest, text.n - rest);
        return;
    }
    text_add_bytes(into, text.p, text.n);
    if (text.n > 0 && !ends_with(text, "\n"))
        text_add(into, crlf ? "\r\n" : "\n");
    if (text.n > 0 && !ends_with(text, "\n\n") && !ends_with(text, "\n\r\n"))
        text_add(into, crlf ? "\r\n" : "\n");
    add_section(into, section, crlf);
}

enum status opened_put(struct span text, const char *slug, struct span section, struct text *ret_text,
                       struct message *message)
{
    struct opened opened;
    struct opened_section old;
    struct text result = TEXT_EMPTY;
    section = span_trim(section);
    enum status status = opened_read_text("opened", text, &opened, message);
    if (status != STATUS_OK)
        return status;
    bool found = slug != NULL && section_of(text, &opened, slug, &old);
    opened_free(&opened);
    if (slug != NULL && !found) {
        status_fail(message, STATUS_MALFORMED, "there is no item `%s`", slug);
        return status_remedy(message, "load the page again: it may have been renamed or taken out");
    }
    status = section.n == 0 && slug != NULL ? STATUS_OK : judge_section(section, message);
    if (status != STATUS_OK)
        return status;
    compose(text, found ? &old : NULL, section, &result);
    status = opened_read_text("opened", (struct span){text_string(&result), result.length}, &opened, message);
    if (status == STATUS_OK) {
        opened_free(&opened);
        *ret_text = result;
    } else {
        text_free(&result);
    }
    return status;
}
