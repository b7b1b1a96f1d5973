#include "teardown/taken_codes.h"

#include "teardown/opened_sections.h"

#include <string.h>

static const struct opened_item *cells_of(const struct opened *opened, const char *slug)
{
    const struct opened_item *item = opened_named(opened, slug);
    if (item != NULL && item->kind == OPENED_CELLS)
        return item;
    for (size_t k = 0; k < opened->count; k++)
        if (opened->items[k].kind == OPENED_CELLS)
            return &opened->items[k];
    return NULL;
}

static bool stands_there(const struct opened *opened, const struct cell_code *code)
{
    for (size_t k = 0; k < opened->count; k++) {
        const struct opened_item *item = &opened->items[k];
        for (size_t j = 0; item->kind == OPENED_CELLS && j < item->entry_count; j++)
            if (strcmp(item->entries[j].key, "code") == 0 &&
                strcmp(cell_code_read(span_of(item->entries[j].value)).code, code->code) == 0)
                return true;
    }
    return false;
}

/* As it stands in the file, from its `[…]` line to its last entry; `[cells]` where there is none. */
static void begin_section(struct span text, const struct opened_item *item, struct text *section)
{
    struct opened_sections walk = {.text = text};
    struct opened_section own;
    while (item != NULL && opened_sections_next(&walk, &own))
        if (own.line == item->line)
            text_add_bytes(section, text.p + own.begin, own.end - own.begin);
    if (section->length == 0)
        text_add(section, "[cells]\n");
    else if (section->s[section->length - 1] != '\n')
        text_add(section, "\n");
}

static void add_source(const char *source, struct text *section)
{
    text_add(section, "# read off ");
    for (const char *c = source; *c != '\0'; c++)
        text_addf(section, "%c", (unsigned char)*c < ' ' || *c == 127 ? ' ' : *c);
    text_add(section, "\n");
}

static size_t add_lines(const struct opened *opened, const char *source, const struct cell_code *codes, size_t count,
                        struct text *section)
{
    size_t added = 0;
    for (size_t k = 0; k < count; k++) {
        bool known = stands_there(opened, &codes[k]);
        for (size_t j = 0; j < k && !known; j++)
            known = strcmp(codes[j].code, codes[k].code) == 0;
        if (known)
            continue;
        if (added++ == 0)
            add_source(source, section);
        text_addf(section, "code = %s\n", codes[k].code);
    }
    return added;
}

enum status taken_codes_put(struct span opened, const char *slug, bool invented, const char *source,
                            const struct cell_code *codes, size_t count, struct text *ret_text, size_t *ret_added,
                            struct message *message)
{
    struct span file = opened.n > 0 ? opened : span_of(invented ? "[opened]\ninvented = yes\n" : "[opened]\n");
    struct opened read = {0};
    struct text section = TEXT_EMPTY;
    enum status status = opened_read_text("opened", file, &read, message);
    if (status != STATUS_OK)
        return status;
    const struct opened_item *item = cells_of(&read, slug);
    begin_section(file, item, &section);
    size_t added = add_lines(&read, source, codes, count, &section);
    if (added > 0) {
        status = opened_put(file, item != NULL ? item->slug : NULL, (struct span){section.s, section.length}, ret_text,
                            message);
    } else {
        *ret_text = TEXT_EMPTY;
        text_add_bytes(ret_text, opened.p, opened.n);
    }
    if (status == STATUS_OK)
        *ret_added = added;
    text_free(&section);
    opened_free(&read);
    return status;
}
