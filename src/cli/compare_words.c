#include "cli/compare_words.h"

#include "cli/table_text.h"

struct quantity_row {
    const char *name, *symbol; /* symbol NULL: as people write the quantity */
    enum quantity quantity;
    size_t offset; /* of the measure in an entry */
};

static const struct quantity_row quantity_rows[] = {
    {"charge", NULL, QUANTITY_CHARGE, offsetof(struct shelf_entry, charge_ah)},
    {"energy", NULL, QUANTITY_ENERGY, offsetof(struct shelf_entry, energy_wh)},
    {"resistance", NULL, QUANTITY_RESISTANCE, offsetof(struct shelf_entry, resistance_ohm)},
    {"mass", NULL, QUANTITY_MASS, offsetof(struct shelf_entry, mass_kg)},
    {"volume", "L", QUANTITY_NONE, offsetof(struct shelf_entry, volume_l)},
    {"for the mass", "Wh/kg", QUANTITY_NONE, offsetof(struct shelf_entry, wh_per_kg)},
    {"for the volume", "Wh/L", QUANTITY_NONE, offsetof(struct shelf_entry, wh_per_l)},
    {"for the price", "", QUANTITY_NONE, offsetof(struct shelf_entry, wh_per_price)},
};

static void measure_cell(const struct compared *one, const struct quantity_row *row, struct listing *listing)
{
    const struct measure *m = (const struct measure *)(const void *)((const char *)&one->entry + row->offset);
    char words[96], symbol[24];
    bool claimed = (row->offset == offsetof(struct shelf_entry, mass_kg) && one->entry.mass_claimed) ||
                   (row->offset == offsetof(struct shelf_entry, volume_l) && one->entry.volume_claimed);
    snprintf(symbol, sizeof symbol, "%s%s", row->symbol != NULL && row->symbol[0] == '\0' ? "Wh/" : "",
             row->symbol != NULL && row->symbol[0] == '\0' ? one->entry.currency : row->symbol != NULL ? row->symbol : "");
    if (row->symbol == NULL)
        measure_print_in(m, row->quantity, words, sizeof words);
    else
        measure_print(m, symbol, words, sizeof words);
    listing_add(listing, "%s%s", measure_known(m) ? words : "–", claimed ? " as claimed" : "");
}

static void verdict_rows(const struct compare *compare, struct listing *listing)
{
    for (int v = VERDICT_MET; v <= VERDICT_NOT_TESTED; v++) {
        listing_add(listing, "%s", verdict_name((enum verdict)v));
        for (size_t k = 0; k < compare->count; k++)
            listing_add(listing, "%zu", verdict_count(compare->items[k].assessment, (enum verdict)v));
    }
}

/* What agrees and what differs between opened cases; nobody says whence they come. */
static void likeness_words(const struct compare *compare, struct text *text)
{
    struct likeness likeness;
    size_t first, second;
    for (size_t k = 0; compare_likeness(compare, k, &first, &second, &likeness); k++) {
        struct listing listing = listing_of(4);
        text_addf(text, "\nOpened, %s beside %s: %zu agree, %zu differ, %zu seen in one only. No verdict on where they come from.\n",
                  compare->items[first].name, compare->items[second].name, likeness.agree, likeness.differ, likeness.one_only);
        for (size_t r = 0; r < likeness.count; r++) {
            const struct likeness_row *row = &likeness.rows[r];
            listing_add(&listing, "%s", row->what);
            listing_add(&listing, "%s", alike_name(row->alike));
            listing_add(&listing, "%s", row->first);
            listing_add(&listing, "%s", row->second);
        }
        table_text(&listing, 0, text);
        listing_free(&listing);
        likeness_free(&likeness);
    }
}

void compare_text(const struct compare *compare, struct text *text)
{
    struct listing listing = listing_of(compare->count + 1);
    struct notices notices = {0};
    listing_add(&listing, "%s", "");
    for (size_t k = 0; k < compare->count; k++)
        listing_add(&listing, "%s%s", compare->items[k].name, compare->items[k].assessment->invented ? " (invented)" : "");
    for (size_t r = 0; r < sizeof quantity_rows / sizeof *quantity_rows; r++) {
        listing_add(&listing, "%s", quantity_rows[r].name);
        for (size_t k = 0; k < compare->count; k++)
            measure_cell(&compare->items[k], &quantity_rows[r], &listing);
    }
    verdict_rows(compare, &listing);
    listing_add(&listing, "thin evidence");
    for (size_t k = 0; k < compare->count; k++)
        listing_add(&listing, "%s", compare->items[k].entry.thin.length > 0 ? text_string(&compare->items[k].entry.thin) : "–");
    table_text(&listing, 0, text);
    listing_free(&listing);
    compare_conditions(compare, &notices);
    for (size_t k = 0; k < notices.count; k++)
        text_addf(text, "%s%s\n", k == 0 ? "\n" : "", notices.items[k].text);
    notices_free(&notices);
    likeness_words(compare, text);
}
