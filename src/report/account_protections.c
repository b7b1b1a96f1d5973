/* The account of what the board stopped, and of what it let through. */
#include "report/account.h"

#include "battery/trip_judge.h"
#include "battery/trips.h"

static const char *way_words(const struct trip *trip)
{
    static const char *const charging[] = {"Charge stopped", "Charge stopped in the cold", "Charge stopped in the heat",
                                           "Charge stopped by current", "Charge stopped by low volts", "Charge stopped when full"};
    static const char *const discharging[] = {"Stopped", "Stopped in the cold", "Stopped in the heat", "Stopped by current",
                                              "Stopped when empty", "Stopped by high volts"};
    return trip->charging ? charging[trip->way] : discharging[trip->way];
}

static void add(struct listing *rows, const char *name, const char *words)
{
    if (words[0] == '\0')
        return;
    listing_add(rows, "%s", name);
    listing_add(rows, "%s", words);
}

static bool in_table(const struct trip *trip)
{
    return (trip->way == TRIP_COLD || trip->way == TRIP_HOT) && measure_known(&trip->trip_degc);
}

static void add_measure(struct listing *rows, const struct measure *measure, enum quantity quantity)
{
    char words[64] = "–";
    if (measure_known(measure))
        measure_print_in(measure, quantity, words, sizeof words);
    listing_add(rows, "%s", words);
}

const char *const account_stops_heads[8] = {"Stopped", "After the mark", ">Current", ">Delay", ">Probe's place", ">Threshold",
                                            ">Let go at", ">Its threshold"};

void account_stops(const struct record *record, struct listing *rows)
{
    for (size_t k = 0; k < record->findings.trip_count; k++) {
        const struct trip *trip = &record->findings.trips[k];
        if (!in_table(trip))
            continue;
        listing_add(rows, "%s, %s", trip->charging ? "charge" : "discharge", trip_way_name(trip->way));
        listing_add(rows, "%s", trip->stimulus[0] != '\0' ? trip->stimulus : "–");
        listing_add(rows, "%.3g A", trip->from_a);
        add_measure(rows, &trip->delay_s, QUANTITY_TIME);
        add_measure(rows, &trip->trip_degc, QUANTITY_TEMPERATURE);
        add_measure(rows, &trip->threshold_degc, QUANTITY_TEMPERATURE);
        add_measure(rows, &trip->release_degc, QUANTITY_TEMPERATURE);
        add_measure(rows, &trip->release_threshold_degc, QUANTITY_TEMPERATURE);
    }
}

/* What the table leaves open, once for all of its stops. */
static void add_open(const struct findings *f, struct listing *rows)
{
    bool threshold = false, clip = false;
    for (size_t k = 0; k < f->trip_count; k++) {
        if (!in_table(&f->trips[k]))
            continue;
        if (!measure_known(&f->trips[k].threshold_degc) && !threshold)
            add(rows, "Threshold", "not measured: that wants slow ramps in both directions");
        threshold |= !measure_known(&f->trips[k].threshold_degc);
        clip |= strstr(f->trips[k].words, TRIP_CLIP) != NULL;
    }
    if (clip)
        add(rows, "Not told apart", TRIP_CLIP);
}

/* Repeats of one way, together. */
static void add_pooled(const struct findings *f, enum trip_way way, struct listing *rows)
{
    size_t count = 0;
    for (size_t k = 0; k < f->trip_count; k++)
        count += f->trips[k].charging && f->trips[k].way == way && measure_known(&f->trips[k].trip_degc);
    if (count < 2)
        return;
    struct measure pooled = trips_pooled(f->trips, f->trip_count, true, way, TRIP_DEGC);
    char shown[64];
    measure_print_in(&pooled, QUANTITY_TEMPERATURE, shown, sizeof shown);
    listing_add(rows, "The %zu stops %s", count, way == TRIP_COLD ? "in the cold" : "in the heat");
    listing_add(rows, "%s in the mean, where the probe lay", shown);
}

void account_protections(const struct record *record, struct listing *rows)
{
    const struct findings *f = &record->findings;
    for (size_t k = 0; k < f->trip_count; k++)
        if (!in_table(&f->trips[k]) && (f->trips[k].way != TRIP_LOW || f->low_stop_count == 0)) /* the low-voltage stop says more */
            add(rows, way_words(&f->trips[k]), f->trips[k].words);
    for (enum trip_way way = TRIP_COLD; way <= TRIP_HOT; way++)
        add_pooled(f, way, rows);
    add_open(f, rows);
    for (size_t k = 0; k < f->low_stop_count; k++)
        add(rows, "Stopped when empty", f->low_stops[k].words);
}

void account_holds(const struct record *record, struct listing *rows)
{
    const struct findings *f = &record->findings;
    for (size_t k = 0; k < f->hold_count; k++) {
        char amps[64];
        measure_print(&f->holds[k].a, "A", amps, sizeof amps);
        listing_add(rows, f->holds[k].charging ? "Charge current held" : "Current held");
        listing_add(rows, "%s, %s", amps, f->holds[k].words);
        for (size_t w = 0; w < f->warming_count; w++)
            if (f->warmings[w].hold == k)
                add(rows, "Warming", f->warmings[w].words);
    }
}
