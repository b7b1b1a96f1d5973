/* The account of one item of the opened sample: first what was seen, as typed, then what it comes to. */
#include "report/account.h"

#include "base/number.h"

#include <math.h>

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
