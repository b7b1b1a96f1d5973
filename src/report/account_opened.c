/* The account of one item of the opened sample: first what was seen, as typed, then what it comes to. */
#include "report/account.h"

static void pair(struct listing *rows, const char *what, const char *words)
{
    if (words[0] == '\0')
        return;
    listing_add(rows, "%s", what);
    listing_add(rows, "%s", words);
}

static void value_row(const struct inspected_value *value, struct listing *rows)
{
    char shown[96];
    if (value->quantity == QUANTITY_NONE) {
        pair(rows, value->what, value->words);
        return;
    }
    listing_add(rows, "%s", value->what);
    measure_print_in(&value->measure, value->quantity, shown, sizeof shown);
    if (!measure_known(&value->measure))
        listing_add(rows, "cannot tell: %s", value->measure.why);
    else
        listing_add(rows, "%s%s%s", shown, value->words[0] != '\0' ? ", " : "", value->words);
}

void account_opened(const struct inspected *item, struct listing *rows)
{
    const struct opened_item *seen = item->item;
    for (size_t k = 0; k < seen->entry_count; k++)
        pair(rows, seen->entries[k].key, seen->entries[k].value);
    for (size_t k = 0; k < item->value_count; k++)
        value_row(&item->values[k], rows);
    pair(rows, "against the label", item->against);
    pair(rows, "what it means", item->means);
    if (seen->grade != GRADE_NONE) {
        listing_add(rows, "tester's grade");
        listing_add(rows, "%s%s%s", opened_grade_name(seen->grade), seen->grade_why[0] != '\0' ? ": " : "",
                    seen->grade_why);
    }
    pair(rows, "tester's opinion", seen->opinion);
}
