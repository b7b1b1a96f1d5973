/* The account of one item of the opened sample: first what was seen, as typed, then what it comes to. */
#include "report/account.h"

#include "base/number.h"

#include <ctype.h>
#include <math.h>
#include <string.h>

static void pair(struct listing *rows, const char *what, const char *words)
{
    if (words[0] == '\0')
        return;
    listing_add(rows, "%s", what);
    listing_add(rows, "%s", words);
}

static void value_words(const struct inspected_value *value, struct text *text)
{
    char shown[96];
    measure_print_in(&value->measure, value->quantity, shown, sizeof shown);
    if (value->quantity == QUANTITY_NONE)
        text_add(text, value->words);
    else if (!measure_known(&value->measure))
        text_addf(text, "cannot tell: %s", value->measure.why);
    else
        text_addf(text, "%s%s%s", shown, value->words[0] != '\0' ? ", " : "", value->words);
}

void account_opened_seen(const struct inspected *item, struct text *text)
{
    const struct opened_item *seen = item->item;
    size_t at = text->length;
    for (size_t k = 0; k < seen->entry_count; k++)
        if (seen->entries[k].value[0] != '\0')
            text_addf(text, "%s%s: %s", text->length > at ? "; " : "", seen->entries[k].key, seen->entries[k].value);
}

void account_opened_values(const struct inspected *item, struct listing *rows)
{
    for (size_t k = 0; k < item->value_count; k++) {
        struct text words = TEXT_EMPTY;
        value_words(&item->values[k], &words);
        pair(rows, item->values[k].what, text_string(&words));
        text_free(&words);
    }
}

void account_opened_judged(const struct inspected *item, struct listing *rows)
{
    const struct opened_item *seen = item->item;
    if (seen->grade != GRADE_NONE) {
        listing_add(rows, "tester's grade");
        listing_add(rows, "%s%s%s", opened_grade_name(seen->grade), seen->grade_why[0] != '\0' ? ": " : "",
                    seen->grade_why);
    }
    pair(rows, "tester's opinion", seen->opinion);
}

void account_opened(const struct inspected *item, struct listing *rows)
{
    const struct opened_item *seen = item->item;
    for (size_t k = 0; k < seen->entry_count; k++)
        pair(rows, seen->entries[k].key, seen->entries[k].value);
    account_opened_values(item, rows);
    pair(rows, "against the label", item->against);
    pair(rows, "what it means", item->means);
    account_opened_judged(item, rows);
}

void account_opened_title(const struct inspected *item, char *title, size_t size)
{
    snprintf(title, size, "%s", item->item->title);
    title[0] = (char)toupper((unsigned char)title[0]);
}

static bool conducts(const struct inspected *item)
{
    return (item->item->kind == OPENED_CONDUCTOR || item->item->kind == OPENED_BUS_BAR) && item->value_count > 0;
}

static size_t conductor_count(const struct inspection *inspection)
{
    size_t count = 0;
    for (size_t k = 0; k < inspection->count; k++)
        count += conducts(&inspection->items[k]);
    return count;
}

bool account_beside(const struct inspection *inspection, const struct inspected *item, bool *ret_last)
{
    const struct inspected *last = inspection->items + inspection->count - 1;
    while (last > item && !conducts(last))
        last--;
    *ret_last = last == item;
    return conducts(item) && conductor_count(inspection) > 1;
}

static const struct inspected_value *value_named(const struct inspected *item, const char *what)
{
    for (size_t k = 0; k < item->value_count; k++)
        if (strcmp(item->values[k].what, what) == 0)
            return &item->values[k];
    return NULL;
}

static void add_beside(const struct inspected *const *items, size_t count, const char *what, struct listing *rows)
{
    listing_add(rows, "%s", what);
    for (size_t k = 0; k < count; k++) {
        const struct inspected_value *value = value_named(items[k], what);
        struct text words = TEXT_EMPTY;
        if (value != NULL)
            value_words(value, &words);
        listing_add(rows, "%s", value != NULL ? text_string(&words) : "–");
        text_free(&words);
    }
}

size_t account_conductors(const struct inspection *inspection, size_t had, const struct inspected *ret_items[static ACCOUNT_BESIDE],
                          struct listing *ret_rows)
{
    size_t all = conductor_count(inspection), tables = (all + ACCOUNT_BESIDE - 1) / ACCOUNT_BESIDE, at = 0, count = 0;
    size_t most = tables > 0 ? (all + tables - 1) / tables : 0; /* four are two and two */
    for (size_t k = 0; k < inspection->count && count < most; k++)
        if (conducts(&inspection->items[k]) && at++ >= had)
            ret_items[count++] = &inspection->items[k];
    *ret_rows = listing_of(count + 1);
    for (size_t k = 0; k < count; k++)
        for (size_t v = 0; v < ret_items[k]->value_count; v++) {
            const char *what = ret_items[k]->values[v].what;
            bool told = false;
            for (size_t earlier = 0; earlier < k; earlier++)
                told = told || value_named(ret_items[earlier], what) != NULL;
            if (!told)
                add_beside(ret_items, count, what, ret_rows);
        }
    return count;
}

void account_opened_brief(const struct inspection *inspection, struct listing *rows)
{
    for (size_t k = 0; k < inspection->count; k++) {
        const struct inspected *item = &inspection->items[k];
        struct text words = TEXT_EMPTY;
        if (item->against[0] != '\0')
            text_addf(&words, "against the label: %s ", item->against);
        if (isfinite(item->limit_a)) {
            char limit[64];
            number_print(item->limit_a, item->limit_u_a > 0 ? item->limit_u_a : NAN, limit, sizeof limit);
            text_addf(&words, "allows %s A. ", limit);
        }
        text_add(&words, item->means);
        if (item->item->grade != GRADE_NONE)
            text_addf(&words, "%sThe tester's grade: %s.", item->means[0] != '\0' ? " " : "",
                      opened_grade_name(item->item->grade));
        pair(rows, item->item->title, text_string(&words));
        text_free(&words);
    }
}
