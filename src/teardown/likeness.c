#include "teardown/likeness.h"

#include "base/memory.h"
#include "base/nearest.h"
#include "teardown/cell_code.h"
#include "teardown/same_value.h"

#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

const char *alike_name(enum alike alike)
{
    static const char *const names[] = {"agrees", "differs", "seen in one only"};
    return names[alike];
}

struct holding {
    struct likeness found;
    size_t capacity;
};

static void row(struct holding *h, enum opened_kind kind, const char *what, enum alike alike, const char *first,
                const char *second)
{
    struct likeness *l = &h->found;
    l->rows = memory_grow(l->rows, l->count, &h->capacity);
    struct likeness_row *added = &l->rows[l->count++];
    *added = (struct likeness_row){.kind = kind, .alike = alike};
    snprintf(added->what, sizeof added->what, "%s", what);
    span_copy(span_of(first), added->first, sizeof added->first);
    span_copy(span_of(second), added->second, sizeof added->second);
    l->agree += alike == ALIKE_AGREES;
    l->differ += alike == ALIKE_DIFFERS;
    l->one_only += alike == ALIKE_ONE_ONLY;
}

static void name_row(const struct opened_item *item, const char *key, char *buffer, size_t size)
{
    snprintf(buffer, size, "%s%s%s", item->title, key[0] != '\0' ? ": " : "", key);
}

/* What tells one sample from another of the same make, and not what one model has. */
static bool is_of_one_sample(const char *key)
{
    static const char *const left_out[] = {"note",       "damage",      "reads",      "inside air", "outside air", "hottest",
                                           "joint",      "resistance",  "code",       "signs",      "loose",       "gap", NULL};
    return name_find(span_of(key), left_out) >= 0;
}

static bool stands_in(const struct opened_item *item, const char *key, const char *value)
{
    for (size_t k = 0; k < item->entry_count; k++)
        if (name_alike(span_of(item->entries[k].key), key) && same_value(item->kind, key, item->entries[k].value, value))
            return true;
    return false;
}

/* Lines that repeat: each that stands in both, then those of one only. */
static void hold_lines(struct holding *h, const struct opened_item *first, const struct opened_item *second, const char *key,
                       const char *what)
{
    for (size_t k = 0; k < first->entry_count; k++) {
        const struct opened_entry *entry = &first->entries[k];
        if (!name_alike(span_of(entry->key), key))
            continue;
        bool both = stands_in(second, key, entry->value);
        row(h, first->kind, what, both ? ALIKE_AGREES : ALIKE_ONE_ONLY, entry->value, both ? entry->value : "");
    }
    for (size_t k = 0; k < second->entry_count; k++) {
        const struct opened_entry *entry = &second->entries[k];
        if (name_alike(span_of(entry->key), key) && !stands_in(first, key, entry->value))
            row(h, first->kind, what, ALIKE_ONE_ONLY, "", entry->value);
    }
}

static void hold_items(struct holding *h, const struct opened_item *first, const struct opened_item *second)
{
    char what[96];
    for (const struct opened_key *key = opened_keys(first->kind); key->key != NULL; key++) {
        const char *a = opened_value(first, key->key), *b = opened_value(second, key->key);
        if ((a == NULL && b == NULL) || is_of_one_sample(key->key))
            continue;
        name_row(first, key->key, what, sizeof what);
        if (key->repeats)
            hold_lines(h, first, second, key->key, what);
        else if (a == NULL || b == NULL)
            row(h, first->kind, what, ALIKE_ONE_ONLY, a != NULL ? a : "", b != NULL ? b : "");
        else
            row(h, first->kind, what, same_value(first->kind, key->key, a, b) ? ALIKE_AGREES : ALIKE_DIFFERS, a, b);
    }
}

/* The codes of a sample; free() them. */
static struct cell_code *codes_of(const struct opened *opened, size_t *ret_count)
{
    struct cell_code *codes = NULL;
    size_t count = 0, capacity = 0;
    for (size_t k = 0; k < opened->count; k++)
        for (size_t j = 0; opened->items[k].kind == OPENED_CELLS && j < opened->items[k].entry_count; j++) {
            const struct opened_entry *entry = &opened->items[k].entries[j];
            if (!name_alike(span_of(entry->key), "code"))
                continue;
            struct cell_code code = cell_code_read((struct span){entry->value, strcspn(entry->value, ",")});
            if (!code.whole)
                continue;
            codes = memory_grow(codes, count, &capacity);
            codes[count++] = code;
        }
    *ret_count = count;
    return codes;
}

enum { PLACES = 4, PART = 16 };
static const char *const place_words[PLACES] = {"cells: maker of the codes", "cells: chemistry of the codes",
                                                "cells: specification of the codes", "cells: year and month of the codes"};

static void part_of(const struct cell_code *code, int place, char buffer[PART])
{
    if (place == 3)
        snprintf(buffer, PART, "%04u-%02u", (unsigned)code->year % 10000, (unsigned)code->month % 100);
    else
        snprintf(buffer, PART, "%s%.1s", place == 0 ? code->maker : place == 2 ? code->specification : "",
                 place == 1 ? &code->chemistry : "");
}

/* Each different one once, in the order of the codes: "ZZZ, ZZY". */
static void parts_of(const struct cell_code *codes, size_t count, int place, char *buffer, size_t size)
{
    size_t n = 0;
    buffer[0] = '\0';
    for (size_t k = 0; k < count && n < size; k++) {
        char part[PART];
        part_of(&codes[k], place, part);
        if (strstr(buffer, part) == NULL)
            n += (size_t)snprintf(buffer + n, size - n, "%s%s", n > 0 ? ", " : "", part);
    }
}

static bool shares_a_part(const struct cell_code *a, size_t a_count, const struct cell_code *b, size_t b_count, int place,
                          bool all)
{
    for (size_t k = 0; k < a_count; k++) {
        char one[PART], other[PART];
        bool found = false;
        part_of(&a[k], place, one);
        for (size_t j = 0; j < b_count && !found; j++) {
            part_of(&b[j], place, other);
            found = strcmp(one, other) == 0;
        }
        if (found != all)
            return found;
    }
    return all;
}

static void hold_codes(struct holding *h, const struct opened *first, const struct opened *second)
{
    size_t a_count, b_count;
    struct cell_code *a = codes_of(first, &a_count), *b = codes_of(second, &b_count);
    for (int place = 0; place < PLACES && (a_count > 0 || b_count > 0); place++) {
        char one[160], other[160];
        parts_of(a, a_count, place, one, sizeof one);
        parts_of(b, b_count, place, other, sizeof other);
        bool same = shares_a_part(a, a_count, b, b_count, place, true) && shares_a_part(b, b_count, a, a_count, place, true);
        row(h, OPENED_CELLS, place_words[place],
            a_count == 0 || b_count == 0 ? ALIKE_ONE_ONLY : same ? ALIKE_AGREES : ALIKE_DIFFERS, one, other);
    }
    for (size_t k = 0; k < a_count; k++)
        for (size_t j = 0; j < b_count; j++)
            if (strcmp(a[k].code, b[j].code) == 0)
                row(h, OPENED_CELLS, "cells: the same code in both", ALIKE_AGREES, a[k].code, b[j].code);
    free(a);
    free(b);
}

static bool same_side(const struct opened_item *a, const struct opened_item *b)
{
    const char *one = opened_value(a, "path"), *other = opened_value(b, "path");
    return one != NULL && other != NULL && one[0] == other[0];
}

/* The item that it is held beside: of the same name, else on the same side of the current, else the next of the kind. */
static size_t partner(const struct opened_item *item, const struct opened *among, const bool *taken)
{
    for (int by = 0; by < 3; by++)
        for (size_t k = 0; k < among->count; k++) {
            const struct opened_item *other = &among->items[k];
            if (taken[k] || other->kind != item->kind)
                continue;
            if (by == 0 ? name_alike(span_of(item->name), other->name) : by == 1 ? same_side(item, other) : true)
                return k;
        }
    return SIZE_MAX;
}

static void alone(struct holding *h, const struct opened_item *item, bool in_first)
{
    char what[96];
    const char *words = item->entry_count > 0 ? item->entries[0].value : "seen";
    name_row(item, "", what, sizeof what);
    row(h, item->kind, what, ALIKE_ONE_ONLY, in_first ? words : "", in_first ? "" : words);
}

void likeness_find(const struct opened *first, const struct opened *second, struct likeness *ret_likeness)
{
    struct holding h = {0};
    bool *taken = memory_get((second->count + 1) * sizeof *taken);
    for (int kind = 0; kind < OPENED_KINDS; kind++) {
        for (size_t k = 0; k < first->count; k++) {
            const struct opened_item *item = &first->items[k];
            if ((int)item->kind != kind)
                continue;
            size_t other = partner(item, second, taken);
            if (other == SIZE_MAX) {
                alone(&h, item, true);
                continue;
            }
            taken[other] = true;
            hold_items(&h, item, &second->items[other]);
        }
        for (size_t k = 0; k < second->count; k++)
            if ((int)second->items[k].kind == kind && !taken[k])
                alone(&h, &second->items[k], false);
        if (kind == OPENED_CELLS)
            hold_codes(&h, first, second);
    }
    free(taken);
    *ret_likeness = h.found;
}

void likeness_free(struct likeness *likeness)
{
    free(likeness->rows);
    *likeness = (struct likeness){0};
}
