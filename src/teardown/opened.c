#include "teardown/opened.h"

#include "base/memory.h"
#include "base/nearest.h"
#include "intake/ini.h"
#include "intake/stamp.h"
#include "teardown/opened_sections.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { ITEMS_LIMIT = 500 }; /* far more than a person takes apart */

const char *const opened_kind_words[OPENED_KINDS + 1] = {
    "conductor", "bus bar", "balance leads", "fuse", "board", "sensor", "cells",
    "case",      "vent",    "seal",          "compression", "wiring", "other", NULL};

static const char *const grade_names[] = {"", "good", "fair", "poor"};

const char *opened_grade_name(enum opened_grade grade)
{
    return grade_names[grade];
}

struct reading {
    const struct ini *ini;
    struct opened opened;
    size_t capacity, next; /* of the items; entry of the file that comes next */
    long opinion_line, grade_line; /* where the item at hand has them */
    struct message *message;
};

/* ASCII letters and digits; what stands between becomes one hyphen. */
static void slug_of(const struct opened_item *item, char *buffer, size_t size)
{
    char words[128];
    size_t n = 0;
    snprintf(words, sizeof words, "%s %s", opened_kind_words[item->kind], item->name);
    for (const char *p = words; *p != '\0' && n + 1 < size; p++) {
        char c = *p >= 'A' && *p <= 'Z' ? (char)(*p - 'A' + 'a') : *p;
        bool kept = (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9');
        if (kept)
            buffer[n++] = c;
        else if (n > 0 && buffer[n - 1] != '-')
            buffer[n++] = '-';
    }
    while (n > 0 && buffer[n - 1] == '-')
        n--;
    buffer[n] = '\0';
}

/* Two names without a common letter may come to the same slug. */
static void settle_slug(const struct opened *opened, struct opened_item *item)
{
    char slug[80];
    slug_of(item, slug, sizeof slug);
    snprintf(item->slug, sizeof item->slug, "%s", slug);
    for (int k = 2; opened_named(opened, item->slug) != NULL; k++)
        snprintf(item->slug, sizeof item->slug, "%s-%d", slug, k);
}

static enum status fault_heading(struct reading *r, const struct opened_section *section, const char *what,
                                 const char *remedy)
{
    char shown[64];
    span_copy(section->name, shown, sizeof shown);
    status_fail(r->message, STATUS_MALFORMED, "`[%s]` %s", shown, what);
    status_at(r->message, r->ini->path, section->line, 0);
    return status_remedy(r->message, "%s", remedy);
}

static enum status unknown_kind(struct reading *r, const struct opened_section *section)
{
    char list[200], remedy[256];
    struct span rest = section->name;
    const char *near = name_nearest(section->name, opened_kind_words);
    if (near == NULL)
        near = name_nearest(span_take_word(&rest), opened_kind_words);
    name_list(opened_kind_words, list, sizeof list);
    if (near != NULL)
        snprintf(remedy, sizeof remedy, "`[%s …]` was meant, perhaps", near);
    else
        snprintf(remedy, sizeof remedy, "begin it with one of: %s", list);
    return fault_heading(r, section, "does not begin with a kind of item", remedy);
}

static enum status take_grade(struct reading *r, const struct ini_entry *entry, struct opened_item *item)
{
    struct span value = span_of(entry->value);
    for (int k = GRADE_GOOD; k <= GRADE_POOR; k++) {
        size_t n = strlen(grade_names[k]);
        struct span why = {value.p + n, value.n - n};
        if (value.n < n || !span_is_word((struct span){value.p, n}, grade_names[k]) ||
            (why.n > 0 && strchr(" ,;:.\t", why.p[0]) == NULL))
            continue;
        while (why.n > 0 && strchr(" ,;:.\t", why.p[0]) != NULL)
            why.p++, why.n--;
        item->grade = (enum opened_grade)k;
        free(item->grade_why);
        item->grade_why = memory_copy_string(why.p);
        return STATUS_OK;
    }
    ini_fault(r->ini, entry, 0, r->message, "`%s` is no grade", entry->value);
    return status_remedy(r->message, "write good, fair or poor, and why: `grade = fair, strands nicked at one lug`");
}

static enum status unknown_key(struct reading *r, const struct ini_entry *entry, const struct opened_item *item)
{
    const char *known[32];
    size_t n = 0;
    char list[400];
    for (const struct opened_key *key = opened_keys(item->kind); key->key != NULL; key++)
        known[n++] = key->key;
    known[n++] = "opinion";
    known[n++] = "grade";
    known[n] = NULL;
    const char *near = name_nearest(span_of(entry->key), known);
    name_list(known, list, sizeof list);
    ini_fault(r->ini, entry, 0, r->message, "`%s` has no key `%s`", opened_kind_words[item->kind], entry->key);
    if (r->message != NULL)
        r->message->column = 0;
    return near != NULL ? status_remedy(r->message, "`%s` was meant, perhaps", near)
                        : status_remedy(r->message, "known are: %s", list);
}

const struct opened_entry *opened_entry(const struct opened_item *item, const char *key)
{
    for (size_t k = 0; k < item->entry_count; k++)
        if (name_alike(span_of(item->entries[k].key), key))
            return &item->entries[k];
    return NULL;
}

static enum status twice(struct reading *r, const struct ini_entry *entry, long before)
{
    ini_fault(r->ini, entry, 0, r->message, "`%s` stands twice, here and in line %ld", entry->key, before);
    return status_remedy(r->message, "keep the one that holds");
}

static enum status take_entry(struct reading *r, const struct ini_entry *entry, struct opened_item *item,
                              size_t *capacity)
{
    if (entry->value[0] == '\0') /* not looked at yet */
        return STATUS_OK;
    if (name_alike(span_of(entry->key), "opinion")) {
        if (item->opinion[0] != '\0')
            return twice(r, entry, r->opinion_line);
        r->opinion_line = entry->line;
        free(item->opinion);
        item->opinion = memory_copy_string(entry->value);
        return STATUS_OK;
    }
    if (name_alike(span_of(entry->key), "grade")) {
        if (item->grade != GRADE_NONE)
            return twice(r, entry, r->grade_line);
        r->grade_line = entry->line;
        return take_grade(r, entry, item);
    }
    const struct opened_key *key = opened_keys(item->kind);
    while (key->key != NULL && !name_alike(span_of(entry->key), key->key))
        key++;
    if (key->key == NULL)
        return unknown_key(r, entry, item);
    const struct opened_entry *before = opened_entry(item, key->key);
    if (before != NULL && !key->repeats)
        return twice(r, entry, before->line);
    item->entries = memory_grow(item->entries, item->entry_count, capacity);
    item->entries[item->entry_count++] = (struct opened_entry){memory_copy_string(entry->key),
                                                               memory_copy_string(entry->value), entry->line,
                                                               entry->column};
    return STATUS_OK;
}

static enum status take_date(struct reading *r, const struct ini_entry *entry)
{
    int64_t day;
    bool free_order;
    struct opened *opened = &r->opened;
    if (!stamp_date_read(span_of(entry->value), DATE_ORDER_UNKNOWN, &day, &free_order) || !free_order ||
        !stamp_date_of(day, &opened->year, &opened->month, &opened->day)) {
        ini_fault(r->ini, entry, 0, r->message, "`%s` is no date that reads one way", entry->value);
        return status_remedy(r->message, "write `date = 2026-03-14`");
    }
    snprintf(opened->date, sizeof opened->date, "%s", entry->value);
    return STATUS_OK;
}

/* [opened]: of the whole file. */
static enum status take_head(struct reading *r, const struct opened_section *section)
{
    static const char *const known[] = {"date", "invented", NULL};
    enum status status = ini_known_keys(r->ini, "opened", known, r->message);
    for (; status == STATUS_OK && r->next < r->ini->count && r->ini->entries[r->next].line < section->next; r->next++) {
        const struct ini_entry *entry = &r->ini->entries[r->next];
        if (entry->value[0] == '\0')
            continue;
        status = name_alike(span_of(entry->key), "date") ? take_date(r, entry)
                                                         : ini_yes(r->ini, entry, &r->opened.invented, r->message);
    }
    return status;
}

static const struct opened_item *same_item(const struct opened *opened, const struct opened_item *item)
{
    for (size_t k = 0; k < opened->count; k++)
        if (opened->items[k].kind == item->kind && name_alike(span_of(opened->items[k].name), item->name))
            return &opened->items[k];
    return NULL;
}

static enum status take_item(struct reading *r, const struct opened_section *section)
{
    struct opened_item item = {.line = section->line};
    struct opened *opened = &r->opened;
    struct span name;
    size_t capacity = 0;
    item.kind = opened_section_kind(section->name, &name);
    if (item.kind == OPENED_KINDS)
        return unknown_kind(r, section);
    span_copy(name, item.name, sizeof item.name);
    if (same_item(opened, &item) != NULL) {
        char remedy[128];
        snprintf(remedy, sizeof remedy, "give one of them another name, as in `[%s%s%s 2]`", opened_kind_words[item.kind],
                 item.name[0] != '\0' ? " " : "", item.name);
        return fault_heading(r, section, "stands twice", remedy);
    }
    if (opened->count == ITEMS_LIMIT)
        return fault_heading(r, section, "is one item too many: there are 500", "put what is alike into one item");
    snprintf(item.title, sizeof item.title, "%s%s%s", opened_kind_words[item.kind], item.name[0] != '\0' ? " " : "", item.name);
    settle_slug(opened, &item);
    item.opinion = memory_copy_string("");
    item.grade_why = memory_copy_string("");
    enum status status = STATUS_OK;
    for (; status == STATUS_OK && r->next < r->ini->count && r->ini->entries[r->next].line < section->next; r->next++)
        status = take_entry(r, &r->ini->entries[r->next], &item, &capacity);
    opened->items = memory_grow(opened->items, opened->count, &r->capacity);
    opened->items[opened->count++] = item;
    return status;
}

static enum status take_sections(struct reading *r, struct span text)
{
    struct opened_sections walk = {.text = text};
    struct opened_section section;
    bool headed = false;
    enum status status = STATUS_OK;
    if (r->ini->count > 0 && r->ini->entries[0].section[0] == '\0') {
        ini_fault(r->ini, &r->ini->entries[0], 0, r->message, "`%s` stands before the first section",
                  r->ini->entries[0].key);
        return status_remedy(r->message, "put the line of its item above it, as in `[conductor main lead]`");
    }
    while (status == STATUS_OK && opened_sections_next(&walk, &section)) {
        bool head = name_alike(section.name, "opened");
        if (head && headed)
            return fault_heading(r, &section, "stands twice", "put what it says into the first");
        headed |= head;
        status = head ? take_head(r, &section) : take_item(r, &section);
    }
    return status;
}

enum status opened_read_text(const char *path, struct span text, struct opened *ret_opened, struct message *message)
{
    struct ini ini;
    enum status status = ini_read_text(path, text, &ini, message);
    if (status != STATUS_OK)
        return status;
    struct reading reading = {.ini = &ini, .message = message};
    snprintf(reading.opened.path, sizeof reading.opened.path, "%s", path);
    status = take_sections(&reading, text);
    ini_free(&ini);
    if (status == STATUS_OK)
        *ret_opened = reading.opened;
    else
        opened_free(&reading.opened);
    return status;
}

enum status opened_read(const char *path, struct opened *ret_opened, struct message *message)
{
    struct text text = TEXT_EMPTY;
    enum status status = ini_load(path, &text, message);
    if (status == STATUS_OK)
        status = opened_read_text(path, (struct span){text_string(&text), text.length}, ret_opened, message);
    text_free(&text);
    return status;
}

void opened_free(struct opened *opened)
{
    for (size_t k = 0; k < opened->count; k++) {
        struct opened_item *item = &opened->items[k];
        for (size_t j = 0; j < item->entry_count; j++) {
            free(item->entries[j].key);
            free(item->entries[j].value);
        }
        free(item->entries);
        free(item->opinion);
        free(item->grade_why);
    }
    free(opened->items);
    *opened = (struct opened){0};
}

const struct opened_item *opened_named(const struct opened *opened, const char *slug)
{
    for (size_t k = 0; k < opened->count; k++)
        if (strcmp(opened->items[k].slug, slug) == 0)
            return &opened->items[k];
    return NULL;
}

const char *opened_value(const struct opened_item *item, const char *key)
{
    const struct opened_entry *entry = opened_entry(item, key);
    return entry != NULL ? entry->value : NULL;
}
