#include "teardown/inspect_parts.h"

#include <math.h>

/* A cell of lithium iron phosphate is full at 3.65 V. */
static const double full_cell_v = 3.65;
/* Lasting current is kept below four fifths of a fuse's rating: common practice, no source. */
static const double lasting_share = 0.8;

static void hold_rating(const struct inspecting *in, double rating_a, const char *what, struct inspected *item)
{
    double claimed = in->rated->continuous_a;
    struct measure rating = exactly(rating_a);
    say_measure(item, QUANTITY_CURRENT, &rating, "%s", what);
    item->limit_a = rating_a;
    item->limit_u_a = 0;
    if (rating_a < claimed)
        say_against(item, RATED_CONTINUOUS, "%g A continuous: the %s in it is marked for %g A.", claimed, item->item->title, rating_a);
}

/* That there is no fuse, and what it is like: one of the two is wrong. */
static enum status hold_none(const struct opened_look *look)
{
    static const char *const keys[] = {"rating", "type", "voltage", "printed", NULL};
    for (const char *const *key = keys; *key != NULL; key++) {
        const struct opened_entry *entry = opened_entry(look->item, *key);
        if (entry == NULL || value_is_none(entry->value))
            continue;
        opened_fault(look, entry, 0, "`%s` describes a fuse, and another line of the item says that there is none", entry->key);
        return status_remedy(look->message, "keep the one that holds");
    }
    return STATUS_OK;
}

static enum status inspect_fuse(struct inspecting *in, struct inspected *item)
{
    struct opened_look look = look_at(in, item);
    struct opened_amount rating = {.value = NAN}, voltage;
    bool none = opened_none(item->item, "rating") || opened_none(item->item, "type");
    enum status status = none ? hold_none(&look) : STATUS_OK;
    if (status != STATUS_OK)
        return status;
    status = none ? STATUS_OK : opened_amount(&look, "rating", QUANTITY_CURRENT, &rating);
    if (status == STATUS_OK)
        status = opened_amount(&look, "voltage", QUANTITY_VOLTAGE, &voltage);
    if (status != STATUS_OK)
        return status;
    if (none)
        say_means(item, "Without a fuse only the board stops a short, and nothing does where the board is bypassed or its "
                        "transistors have failed shut.");
    if (!isnan(rating.value))
        hold_rating(in, rating.value, "rating", item);
    if (rating.value >= in->rated->continuous_a && lasting_share * rating.value < in->rated->continuous_a)
        say_means(item, "%g A is more than four fifths of its rating: a fuse held there ages and may open.",
                  in->rated->continuous_a);
    if (in->rated->cells > 0 && voltage.value < in->rated->cells * full_cell_v)
        say_means(item, "It can break the current up to %g V, and %d full cells have %.1f V.", voltage.value,
                  in->rated->cells, in->rated->cells * full_cell_v);
    return STATUS_OK;
}

static enum status read_more(struct inspecting *in, struct inspected *item)
{
    struct opened_look look = look_at(in, item);
    struct opened_amount balancing, hottest;
    int cells, mosfets, sink, coating;
    const struct rated *rated = in->rated;
    enum status status = opened_count(&look, "cells", &cells);
    if (status == STATUS_OK)
        status = opened_count(&look, "mosfets", &mosfets);
    if (status == STATUS_OK)
        status = opened_yes(&look, "heat sink", &sink);
    if (status == STATUS_OK)
        status = opened_yes(&look, "coating", &coating);
    if (status == STATUS_OK)
        status = opened_amount(&look, "balancing", QUANTITY_CURRENT, &balancing);
    if (status == STATUS_OK)
        status = opened_amount(&look, "hottest", QUANTITY_TEMPERATURE, &hottest);
    if (status != STATUS_OK)
        return status;
    if (cells > 0 && rated->cells > 0 && cells != rated->cells)
        say_against(item, RATED_CELLS, "%d cells in series: the board is printed for %d.", rated->cells, cells);
    if (mosfets > 0 && !isnan(rated->continuous_a))
        say_words(item, "current a transistor", "%.3g A at %g A, if all %d share it; half of them may block the other way",
                  rated->continuous_a / mosfets, rated->continuous_a, mosfets);
    if (!isnan(balancing.value) && !isnan(rated->rated_ah)) {
        double hours = 0.01 * rated->rated_ah / balancing.value;
        say_words(item, "balancing", "%.2g h at %g A take 1 %% of the rated charge from one cell", hours, balancing.value);
    }
    if (sink == 0)
        say_means(item, "Without a heat sink its transistors give their heat to the leads and to the air in the case.");
    if (coating == 0)
        say_means(item, "Bare tracks and moist air make leakage between cells, slowly.");
    if (opened_says(item->item, "paths", "separate"))
        say_means(item, "Charge and discharge part at the board: a load on the charging side is not protected.");
    return STATUS_OK;
}

static enum status inspect_board(struct inspecting *in, struct inspected *item)
{
    struct opened_look look = look_at(in, item);
    struct opened_amount rating, peak, charge;
    const struct rated *rated = in->rated;
    enum status status = opened_amount(&look, "rating", QUANTITY_CURRENT, &rating);
    if (status == STATUS_OK)
        status = opened_amount(&look, "peak", QUANTITY_CURRENT, &peak);
    if (status == STATUS_OK)
        status = opened_amount(&look, "charge rating", QUANTITY_CURRENT, &charge);
    if (status != STATUS_OK)
        return status;
    if (!isnan(rating.value))
        hold_rating(in, rating.value, "printed rating", item);
    if (rating.value >= rated->continuous_a)
        say_means(item, "Its print is not below the claimed %g A; a print is a claim of the board's maker, and holds with the "
                        "cooling that it was made for.", rated->continuous_a);
    if (peak.value < rated->peak_a)
        say_against(item, RATED_PEAK, "%g A for a moment: the board is printed for %g A.", rated->peak_a, peak.value);
    if (charge.value < rated->charge_a)
        say_against(item, RATED_CHARGE, "%g A of charge: the board is printed for %g A.", rated->charge_a, charge.value);
    return read_more(in, item);
}

enum status inspect_protection(struct inspecting *in, struct inspected *item)
{
    return item->item->kind == OPENED_FUSE ? inspect_fuse(in, item) : inspect_board(in, item);
}

void inspect_fuse_beside(struct inspecting *in)
{
    const struct inspected *thin = NULL;
    for (size_t k = 0; k < in->out->count; k++) {
        const struct inspected *item = &in->out->items[k];
        bool lead = item->item->kind == OPENED_CONDUCTOR || item->item->kind == OPENED_BUS_BAR;
        if (lead && in_the_path(item->item) && !isnan(item->limit_a) && (thin == NULL || item->limit_a < thin->limit_a))
            thin = item;
    }
    for (size_t k = 0; k < in->out->count && thin != NULL; k++) {
        struct inspected *item = &in->out->items[k];
        if (item->item->kind == OPENED_FUSE && item->limit_a > thin->limit_a)
            say_means(item, "It stands %g A, and the %s %.3g A: it protects against a short and not against overload.",
                      item->limit_a, thin->item->title, thin->limit_a);
    }
}
