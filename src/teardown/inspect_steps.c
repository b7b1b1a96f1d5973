#include "teardown/inspect_parts.h"

#include "base/memory.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

enum { STEPS_AN_ITEM = 2 }; /* one is asked for the next when these are answered */

__attribute__((format(printf, 6, 7)))
static void step(struct inspecting *in, enum opened_kind kind, const char *name, const char *key, const char *why,
                 const char *ask, ...)
{
    struct inspection *out = in->out;
    out->steps = memory_resize(out->steps, out->step_count + 1, sizeof *out->steps);
    struct inspection_step *added = &out->steps[out->step_count++];
    va_list args;
    *added = (struct inspection_step){.kind = kind, .caution = kind != OPENED_CASE && kind != OPENED_VENT && kind != OPENED_SEAL};
    snprintf(added->name, sizeof added->name, "%s", name);
    snprintf(added->key, sizeof added->key, "%s", key);
    snprintf(added->why, sizeof added->why, "%s", why);
    va_start(args, ask);
    vsnprintf(added->ask, sizeof added->ask, ask, args);
    va_end(args);
}

/* What is asked of an item that has no such line, the weightiest first. */
static const struct asked {
    enum opened_kind kind;
    const char *key, *ask, *why;
} asked[] = {
    {OPENED_CONDUCTOR, "size", "Read its size off the jacket or measure its strands, and count how many lie side by side.",
     "Its section sets its resistance and its warmth."},
    {OPENED_CONDUCTOR, "length", "Measure it from joint to joint.",
     "A short lead takes its temperature from its ends, and cannot be judged without its length."},
    {OPENED_CONDUCTOR, "insulation", "Read the temperature that its jacket is rated for, and feel what it is made of.",
     "The jacket is one of the limits of its current, though seldom the first."},
    {OPENED_CONDUCTOR, "from", "See what one end is fixed to, and how: cell, terminal, board; lug, bolt, solder.",
     "A cell may not be above 60 °C, which is often the lowest limit of all."},
    {OPENED_CONDUCTOR, "to", "See what the other end is fixed to, and how.", "A warm board heats the lead from its end."},
    {OPENED_CONDUCTOR, "path", "Follow it: does the whole current flow through it, and on which side?",
     "The weakest part of that path limits the sample."},
    {OPENED_BUS_BAR, "size", "Measure width and thickness with a caliper, plating included.", "Its section sets its warmth."},
    {OPENED_BUS_BAR, "length", "Measure it from bolt to bolt.", "Its ends rule how warm it gets."},
    {OPENED_BUS_BAR, "metal", "Find out its metal: a magnet holds steel, a scratch shows copper under nickel.",
     "Steel or nickel loses several times what copper does."},
    {OPENED_BALANCE_LEADS, "fused", "See whether a fuse or a thin track for one stands in each balance lead.",
     "Each goes straight to a cell."},
    {OPENED_BALANCE_LEADS, "routing", "See what they lie on and cross.", "Where one chafes through it is a short."},
    {OPENED_FUSE, "rating", "Read its amperes, or say `none` where there is no fuse.",
     "Without one only the board stops a short."},
    {OPENED_FUSE, "voltage", "Read up to how many volts it can break the current.", "Beyond that it goes on as an arc."},
    {OPENED_BOARD, "rating", "Look for the amperes that are printed on the board.", "The label's current is held against them."},
    {OPENED_BOARD, "printed", "Write down its markings, line by line.", "Samples under different labels are compared by them."},
    {OPENED_BOARD, "cells", "Read for how many cells in series it is printed.", "It has to fit the cells that are there."},
    {OPENED_BOARD, "heat sink", "See where the heat of its transistors goes.", "They set how warm the leads' ends get."},
    {OPENED_BOARD, "paths", "See whether charge and discharge go the same way through it.",
     "What leaves by another way is protected in another way."},
    {OPENED_SENSOR, "touches", "See what its bead lies on, and on which cell, counted from the − end.",
     "It protects what it touches."},
    {OPENED_SENSOR, "reads", "With its plug off the board, measure its ohms beside a thermometer.",
     "They tell what temperature the board believes."},
    {OPENED_CELLS, "count", "Count the cells.", "With their arrangement they give the nominal volts."},
    {OPENED_CELLS, "arrangement", "Follow the bus bars: how many in series, how many side by side?",
     "It is held against the label's volts and ampere-hours."},
    {OPENED_CELLS, "rated", "Read the ampere-hours printed on a cell.", "Times those side by side they are held against the label."},
    {OPENED_CELLS, "code", "Look for codes of 24 characters or as a square on the cells, and photograph or type each.",
     "They tell the maker, the day, and whether the cells are one batch."},
    {OPENED_CELLS, "signs", "Look for old weld marks, studs welded on, wrappers over wrappers, scratched codes, dents; "
                            "or say `none seen`.",
     "Cells of a first life elsewhere are sold as new; no single sign proves it."},
    {OPENED_CASE, "size", "Measure length, width and height over the terminals.", "Trays are made for groups of sizes."},
    {OPENED_CASE, "closed by", "See how the case is closed: screws, glue, welds.", "It decides whether anything can be mended."},
    {OPENED_VENT, "type", "See what the vent is: a membrane, a valve, an open hole, or none.",
     "It lets gas out, and perhaps water in."},
    {OPENED_SEAL, "type", "See what closes the joint of the case: a gasket, glue, or nothing.", "It keeps water out, or does not."},
    {OPENED_COMPRESSION, "type", "See what presses the cells together.", "They swell as they age."},
    {OPENED_COMPRESSION, "spacers", "See what parts neighbouring cans.", "A can is live."},
    {OPENED_WIRING, "crimps", "Look at each lug from the side and pull at it.", "A poor crimp warms long before a thin lead does."},
    {OPENED_WIRING, "chafing", "Look where leads cross edges and bars.", "A jacket that wears through is a short."},
    {OPENED_WIRING, "loose", "Try every nut with two fingers, cover on; say `none` where all are tight.",
     "A loose joint warms, oxidises, and warms more."},
};

static void ask_for_lines(struct inspecting *in, const struct opened_item *item)
{
    int count = 0;
    for (size_t k = 0; k < sizeof asked / sizeof asked[0] && count < STEPS_AN_ITEM; k++) {
        if (asked[k].kind != item->kind || opened_entry(item, asked[k].key) != NULL)
            continue;
        if (item->kind == OPENED_FUSE && (opened_none(item, "rating") || opened_none(item, "type")))
            continue;
        step(in, item->kind, item->name, asked[k].key, asked[k].why, "%s", asked[k].ask);
        count++;
    }
}

static size_t have(const struct inspecting *in, enum opened_kind kind)
{
    size_t count = 0;
    for (size_t k = 0; k < in->opened->count; k++)
        count += in->opened->items[k].kind == kind;
    return count;
}

static bool is_side(const struct opened_item *item, const char *sign, const char *word)
{
    return opened_says(item, "path", sign) || opened_says(item, "path", word);
}

/* Conductors of the + and the − side: several on one side make one look at the other. */
static void ask_about_sides(struct inspecting *in)
{
    const struct opened_item *sides[2] = {NULL, NULL};
    int parallel[2] = {0, 0};
    size_t without = 0;
    for (size_t k = 0; k < in->opened->count; k++) {
        const struct opened_item *item = &in->opened->items[k];
        struct opened_look look = {in->opened, item, NULL};
        bool sized = false;
        struct gauge gauge;
        enum metal metal;
        if (item->kind != OPENED_CONDUCTOR || !in_the_path(item))
            continue;
        int side = is_side(item, "+", "plus") ? 0 : is_side(item, "-", "minus") || is_side(item, "−", "negative") ? 1 : -1;
        without += side < 0;
        if (side < 0 || sides[side] != NULL)
            continue;
        sides[side] = item;
        if (opened_gauge(&look, &sized, &gauge, &metal) == STATUS_OK && sized)
            parallel[side] = gauge.parallel;
    }
    for (int side = 0; side < 2; side++) {
        if (sides[side] == NULL && sides[1 - side] != NULL && without == 0)
            step(in, OPENED_CONDUCTOR, "", "", "The same current flows on both sides, and the weaker one limits it.",
                 "Look at the lead of the %s side too.", side == 0 ? "+" : "−");
        if (parallel[side] == 1 && parallel[1 - side] > 1)
            step(in, OPENED_CONDUCTOR, sides[side]->name, "size", "Several side by side are easily taken for one.",
                 "The other side has %d conductors side by side: count them here too.", parallel[1 - side]);
    }
}

/* What follows from what was found in an item. */
static void ask_further(struct inspecting *in, const struct opened_item *item)
{
    struct opened_look look = {in->opened, item, NULL};
    bool sized = false;
    struct gauge gauge;
    enum metal metal;
    if (item->kind == OPENED_CONDUCTOR && opened_gauge(&look, &sized, &gauge, &metal) == STATUS_OK && sized &&
        gauge.parallel > 1 && opened_entry(item, "bundled") == NULL)
        step(in, item->kind, item->name, "bundled", "In one bundle they warm each other and lose heat through its outside only.",
             "See whether the %d lie in one bundle or apart.", gauge.parallel);
    if (item->kind == OPENED_VENT && opened_entry(item, "opening") == NULL &&
        (opened_says(item, "type", "hole") || opened_says(item, "type", "slot") || opened_says(item, "type", "gap")))
        step(in, item->kind, item->name, "opening", "What gets in depends on it.", "Measure the smallest width of the opening.");
    if (item->kind == OPENED_SENSOR && opened_entry(item, "reads") != NULL && opened_entry(item, "beta") == NULL) {
        size_t reads = 0;
        for (size_t k = 0; k < item->entry_count; k++)
            reads += strcmp(item->entries[k].key, opened_entry(item, "reads")->key) == 0;
        if (reads == 1)
            step(in, item->kind, item->name, "reads", "Two readings make a curve; one does not.",
                 "Measure it once more at another temperature, in a plastic bag in cold water beside a thermometer.");
    }
}

static void ask_for_codes(struct inspecting *in, const struct opened_item *cells)
{
    struct opened_look look = {in->opened, cells, NULL};
    int count = 0;
    size_t codes = 0;
    const struct opened_entry *first = opened_entry(cells, "code");
    for (size_t k = 0; first != NULL && k < cells->entry_count; k++)
        codes += strcmp(cells->entries[k].key, first->key) == 0;
    if (codes > 0 && opened_count(&look, "count", &count) == STATUS_OK && (size_t)count > codes)
        step(in, OPENED_CELLS, cells->name, "code", "Whether they are one batch is told by all of them.",
             "%zu of %d codes are read: look for the others.", codes, count);
}

static void ask_about_sensors(struct inspecting *in)
{
    char unseen[120];
    if (have(in, OPENED_SENSOR) == 0) {
        step(in, OPENED_SENSOR, "", "",
             in->rated->claims_cold_cut_off ? "The label says that charging stops when it is cold: something has to feel that."
                                              : "Without one the board knows no temperature.",
             "Look for temperature sensors: thin pairs of wires from the board to beads between or on the cells.");
        return;
    }
    inspect_cells_unseen(in, unseen, sizeof unseen);
    if (unseen[0] == '\0' || (int)have(in, OPENED_SENSOR) >= inspect_cells_in_series(in))
        return;
    step(in, OPENED_SENSOR, "", "", "A cell that no sensor lies on may be colder or hotter than the board knows.",
         "No sensor is noted on cell%s %s: look for another one there.", strchr(unseen, ',') != NULL ? "s" : "", unseen);
}

static void ask_about_ingress(struct inspecting *in)
{
    char why[120];
    snprintf(why, sizeof why, "The label says %s: what contradicts that can be seen, what holds it cannot.", in->rated->ingress);
    if (have(in, OPENED_VENT) == 0)
        step(in, OPENED_VENT, "", "", why, "Look for the vent before the case is opened, and for any open hole or slot.");
    if (have(in, OPENED_SEAL) == 0)
        step(in, OPENED_SEAL, "", "", why, "Look at the joint of the case all around, then, opened, at its gasket or glue.");
}

static bool mentions(const struct inspecting *in, const char *word)
{
    for (size_t k = 0; k < in->opened->count; k++) {
        const struct opened_item *item = &in->opened->items[k];
        if (strcasestr(item->name, word) != NULL)
            return true;
        for (size_t j = 0; j < item->entry_count; j++)
            if (strcasestr(item->entries[j].value, word) != NULL)
                return true;
    }
    return false;
}

/* Kinds of which nothing is noted yet, in the order in which a case gives them away. */
static void ask_for_kinds(struct inspecting *in)
{
    static const struct asked kinds[] = {
        {OPENED_CELLS, "", "Count the cells, see how they are joined, and read what is printed on them.",
         "Their print times their arrangement is held against the label."},
        {OPENED_CONDUCTOR, "", "Look at the main leads, + and −: size, how many side by side, length, jacket, ends.",
         "They warm by the square of the current."},
        {OPENED_BOARD, "", "Look at the board: what is printed on it, its transistors, where their heat goes.",
         "Its rating is held against the label's current."},
        {OPENED_FUSE, "", "Look for a fuse between the cells and the terminals; note `rating = none` where there is none.",
         "Without one only the board stops a short."},
        {OPENED_BUS_BAR, "", "Measure the bus bars between the cells, and note their metal.", "The whole current flows through them."},
        {OPENED_BALANCE_LEADS, "", "Look at the thin leads to each cell: where they lie, whether they are fused.",
         "One that chafes through is a short across a cell."},
        {OPENED_COMPRESSION, "", "See what holds the cells, and what parts them.", "They swell as they age, and a can is live."},
        {OPENED_WIRING, "", "Go over crimps, solder, routing, strain relief and nuts, and grade them with reasons.",
         "Most packs fail at a joint and not at a cell."},
        {OPENED_VENT, "", "Look where gas could leave the case.", "A failing cell gives off gas that burns."},
        {OPENED_SEAL, "", "Look at what closes the joint of the case.", "Moisture gets in there."},
    };
    for (size_t k = 0; k < sizeof kinds / sizeof kinds[0]; k++) {
        bool asked_before = in->rated->claims_ingress && (kinds[k].kind == OPENED_VENT || kinds[k].kind == OPENED_SEAL);
        if (have(in, kinds[k].kind) == 0 && !asked_before)
            step(in, kinds[k].kind, "", "", kinds[k].why, "%s", kinds[k].ask);
        if (kinds[k].kind == OPENED_FUSE)
            ask_about_sensors(in);
    }
}

void inspect_steps(struct inspecting *in)
{
    const struct rated *rated = in->rated;
    if (have(in, OPENED_CASE) == 0 && (isnan(rated->length_mm) || isnan(rated->mass_kg)))
        step(in, OPENED_CASE, "", "", "Its outline is held against groups of sizes, its mass against its energy.",
             "Before it is opened: measure length, width and height over the terminals, and weigh it.");
    if (rated->claims_ingress)
        ask_about_ingress(in);
    for (size_t k = 0; k < in->opened->count; k++) {
        ask_for_lines(in, &in->opened->items[k]);
        ask_further(in, &in->opened->items[k]);
        if (in->opened->items[k].kind == OPENED_CELLS)
            ask_for_codes(in, &in->opened->items[k]);
    }
    ask_about_sides(in);
    if (rated->claims_heater && !mentions(in, "heat"))
        step(in, OPENED_OTHER, "heater", "", "The label speaks of one.",
             "Look for a heater: a film under or between the cells with two wires of its own. Measure its ohms.");
    ask_for_kinds(in);
}
