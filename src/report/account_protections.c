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
        const char *place = trip->place;
        listing_add(rows, "%s, %s%s%s", trip->charging ? "charge" : "discharge", trip_way_name(trip->way), place[0] != '\0' ? ": " : "", place);
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

static void add_value(struct text *words, const char *before, const struct measure *value, const char *symbol)
{
    char printed[96];
    if (!measure_known(value))
        return;
    measure_print(value, symbol, printed, sizeof printed);
    text_addf(words, "%s%s", before, printed);
}

void account_repeats(const struct findings *f, struct listing *rows)
{
    for (enum trip_way way = TRIP_COLD; way <= TRIP_HOT; way++) {
        struct trip_repeats repeats = trips_repeats(f->trips, f->trip_count, true, way);
        struct text words = TEXT_EMPTY;
        if (repeats.count < 2)
            continue;
        add_value(&words, "", &repeats.of[TRIP_DEGC], "°C in the mean, where the probe lay");
        add_value(&words, "; threshold ", &repeats.of[TRIP_THRESHOLD], "°C");
        add_value(&words, ", of the release ", &repeats.of[TRIP_RELEASE_THRESHOLD], "°C");
        add_value(&words, "; hysteresis ", &repeats.of[TRIP_HYSTERESIS], "K");
        listing_add(rows, "The %zu stops %s", repeats.count, way == TRIP_COLD ? "in the cold" : "in the heat");
        listing_add(rows, "%s", text_string(&words));
        text_free(&words);
    }
}

/* Once for all stops of which the same is to be said. */
static void add_usual(const struct findings *f, struct listing *rows)
{
    const char *said = "";
    for (size_t k = 0; k < f->trip_count; k++) {
        const struct trip *trip = &f->trips[k];
        if (in_table(trip) && strcmp(trip->usual, said) != 0)
            add(rows, trip->way == TRIP_COLD ? "Usual in the cold" : "Usual in the heat", trip->usual);
        said = in_table(trip) ? trip->usual : said;
    }
}

/* Of stops that have no repeats, whose row would say it. */
static void add_hysteresis(const struct findings *f, struct listing *rows)
{
    for (enum trip_way way = TRIP_COLD; way <= TRIP_HOT; way++) {
        struct trip_repeats one = trips_repeats(f->trips, f->trip_count, true, way);
        char printed[64];
        if (one.count != 1 || !measure_known(&one.of[TRIP_HYSTERESIS]))
            continue;
        measure_print(&one.of[TRIP_HYSTERESIS], "K", printed, sizeof printed);
        add(rows, way == TRIP_COLD ? "Hysteresis in the cold" : "Hysteresis in the heat", printed);
    }
}

void account_protections(const struct record *record, struct listing *rows)
{
    const struct findings *f = &record->findings;
    for (size_t k = 0; k < f->trip_count; k++)
        if (!in_table(&f->trips[k]) && (f->trips[k].way != TRIP_LOW || f->low_stop_count == 0)) /* the low-voltage stop says more */
            add(rows, way_words(&f->trips[k]), f->trips[k].words);
    account_repeats(f, rows);
    add_hysteresis(f, rows);
    add_usual(f, rows);
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
