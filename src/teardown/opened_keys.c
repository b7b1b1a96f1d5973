#include "teardown/opened.h"

static const char *const metals[] = {"copper", "tinned copper", "aluminium", "copper-clad aluminium", "nickel",
                                     "nickel-plated steel", "brass", NULL};
static const char *const yes_no[] = {"yes", "no", NULL};
static const char *const paths[] = {"+", "-", "balance", "sensor", "heater", "other", NULL};
static const char *const ends[] = {"cell", "terminal", "board", "bus bar", "fuse", "other", NULL};
static const char *const ratings[] = {"none", NULL};
static const char *const forms[] = {"prismatic", "cylindrical", "pouch", NULL};
static const char *const sensors[] = {"NTC thermistor", "chip", "switch", "unknown", NULL};
static const char *const switches[] = {"common", "separate", NULL};
static const char *const closings[] = {"screws", "glue", "welded", "clips", NULL};
static const char *const openings[] = {"none", "membrane", "valve", "plug", "hole", "slot", "gap", NULL};
static const char *const seals[] = {"none", "gasket", "glue", "sealant", "welded", "foam", NULL};
static const char *const compressions[] = {"none", "plates", "straps", "tape", "tight case", "foam", NULL};
static const char *const signs[] = {"weld marks", "wrapper anew", "scratched code", "mixed dates", "studs welded on",
                                    "dents", "swollen", "residue", "none seen", NULL};

#define NOTE {"note", "anything else, in words", "what no other line has room for", true, NULL}
#define END {NULL, NULL, NULL, false, NULL}

static const struct opened_key conductor[] = {
    {"size", "4 x 10 AWG", "section of the metal, and how many lie side by side", false, NULL},
    {"metal", "copper", "how well it conducts; a file or a magnet tells", false, metals},
    {"length", "250 mm", "from joint to joint", false, NULL},
    {"insulation", "200 °C, silicone", "how warm its jacket may be; `none` where it is bare", false, NULL},
    {"path", "+", "what flows through it: all of the current, or little", false, paths},
    {"from", "cell, bolted lug", "what one end is fixed to, and how; with a temperature where one was read at full load",
     false, ends},
    {"to", "board, soldered", "the other end", false, ends},
    {"joint", "0.1 mΩ", "of one crimp or lug, where it was measured", false, NULL},
    {"bundled", "yes", "whether the parallel ones lie together: they then warm each other", false, yes_no},
    {"printed", "10 AWG 200 °C 600 V", "what stands on the jacket: a claim of its maker's", true, NULL},
    {"damage", "strands nicked at one lug", "what is less than it was", true, NULL},
    NOTE, END,
};
static const struct opened_key bus_bar[] = {
    {"size", "20 x 2 mm", "width and thickness; `2 x 20 x 2 mm` for two on each other", false, NULL},
    {"metal", "copper", "how well it conducts", false, metals},
    {"length", "60 mm", "from bolt to bolt", false, NULL},
    {"plating", "nickel", "what keeps it from corroding", false, NULL},
    {"joints", "2, bolted", "how many, and how they are made", false, NULL},
    {"joint", "0.05 mΩ", "of one joint, where it was measured", false, NULL},
    {"resistance", "0.12 mΩ", "of bar and joints together, measured with four wires", false, NULL},
    {"path", "+", "what flows through it", false, paths},
    NOTE, END,
};
static const struct opened_key balance_leads[] = {
    {"size", "24 AWG", "section of each", false, NULL},
    {"count", "5", "one more than cells in series", false, NULL},
    {"length", "180 mm", "of the longest", false, NULL},
    {"insulation", "105 °C, PVC", "how warm the jacket may be", false, NULL},
    {"routing", "over the bus bars, taped", "what they touch and rub on", false, NULL},
    {"fused", "no", "a chafed one is a short across a cell", false, yes_no},
    NOTE, END,
};
static const struct opened_key fuse[] = {
    {"rating", "125 A", "`none` where there is none: then the board alone stops a short", false, ratings},
    {"type", "bolted strip", "how it opens, and how it is held", false, NULL},
    {"voltage", "58 V", "up to which it can break the current", false, NULL},
    {"place", "between cells and + terminal", "what it protects", false, NULL},
    {"printed", "125 A 58 V", "what stands on it", true, NULL},
    NOTE, END,
};
static const struct opened_key board[] = {
    {"rating", "100 A", "continuous current that is printed on it, held against the label's", false, NULL},
    {"peak", "200 A", "likewise, for a moment", false, NULL},
    {"charge rating", "50 A", "likewise, for charging", false, NULL},
    {"cells", "4", "in series, as printed on it", false, NULL},
    {"printed", "HX-4S-100", "its markings, line by line; samples are compared by them", true, NULL},
    {"mosfets", "12", "transistors that switch the current", false, NULL},
    {"paths", "common", "whether charge and discharge go the same way", false, switches},
    {"heat sink", "yes, aluminium plate", "where the heat of the transistors goes", false, yes_no},
    {"coating", "yes, both sides", "what keeps moisture off", false, yes_no},
    {"balancing", "60 mA", "current by which a full cell is held back", false, NULL},
    {"hottest", "71 °C", "at full load, where it was read", false, NULL},
    NOTE, END,
};
static const struct opened_key sensor[] = {
    {"place", "between cells 2 and 3", "which cells it can see", false, NULL},
    {"touches", "cell 2, taped", "what its bead lies on", false, NULL},
    {"type", "NTC thermistor", "what it is", false, sensors},
    {"count", "1", "of alike ones at this place", false, NULL},
    {"r25", "10 kΩ", "its resistance at 25 °C, where a part is known", false, NULL},
    {"beta", "3435", "its B in kelvins, likewise", false, NULL},
    {"reads", "10.21 kΩ at 24.6 °C", "measured with its plug off the board, beside a thermometer", true, NULL},
    NOTE, END,
};
static const struct opened_key cells[] = {
    {"count", "4", "how many", false, NULL},
    {"arrangement", "4S1P", "how they are joined, held against volts and ampere-hours of the label", false, NULL},
    {"rated", "100 Ah", "of each, as printed on it", false, NULL},
    {"form", "prismatic", "how they swell, and what holds them", false, forms},
    {"printed", "LF-100 3.2V", "markings other than codes", true, NULL},
    {"code", "ZZZCB99ABCDEFGB3C0000123", "24 characters, one line each: maker, day, batch", true, NULL},
    {"signs", "weld marks beside the new ones", "of a life before this one: a list to judge, and no verdict", true, signs},
    {"mass", "1.98 kg", "of one", false, NULL},
    {"size", "173 x 48 x 125 mm", "of one", false, NULL},
    NOTE, END,
};
static const struct opened_key case_keys[] = {
    {"size", "329 x 172 x 214 mm", "outside, length x width x height over the terminals", false, NULL},
    {"mass", "11.24 kg", "of the whole sample, held against its energy", false, NULL},
    {"material", "ABS", "what fire and sun do to it", false, NULL},
    {"walls", "3 mm", "how stiff it is", false, NULL},
    {"closed by", "screws, 8", "whether it can be mended", false, closings},
    {"group", "31", "that the label names: trays are made for groups", false, NULL},
    {"inside air", "41 °C", "at full load, where a probe was left inside", false, NULL},
    {"outside air", "22 °C", "at the same time", false, NULL},
    {"filling", "foam beside the cells", "what keeps heat in, or water out", false, NULL},
    NOTE, END,
};
static const struct opened_key vent[] = {
    {"type", "membrane", "how gas gets out, and whether water gets in; `none` where there is none", false, openings},
    {"opening", "6 mm", "smallest width of what stands open", false, NULL},
    {"place", "lid, beside the + terminal", "where gas goes", false, NULL},
    NOTE, END,
};
static const struct opened_key seal[] = {
    {"type", "gasket", "what closes the joint of the case; `none` where there is none", false, seals},
    {"place", "lid", "which joint", false, NULL},
    {"gap", "0.5 mm", "widest gap that is left", false, NULL},
    NOTE, END,
};
static const struct opened_key compression[] = {
    {"type", "straps", "what holds the cells together as they swell", false, compressions},
    {"spacers", "sheets between cells", "what keeps their cans apart: a can is live", false, ratings},
    {"fixed", "yes", "whether a cell can move when the case is shaken", false, yes_no},
    NOTE, END,
};
static const struct opened_key wiring[] = {
    {"crimps", "hexagonal, tinned lugs", "how lugs are pressed; pull at each", true, NULL},
    {"solder", "dull on the main pads", "where joints are soldered", true, NULL},
    {"routing", "main leads cross the balance leads", "what lies on what", true, NULL},
    {"strain relief", "no", "what takes the pull of a cable", false, yes_no},
    {"chafing", "yes, over a bus bar's edge", "where a jacket will wear through", false, yes_no},
    {"loose", "nut of cell 3", "what turned or moved under the fingers", true, NULL},
    NOTE, END,
};
static const struct opened_key other[] = {
    {"seen", "film heater under the cells", "what it is", true, NULL},
    {"measured", "2.9 Ω", "with unit", true, NULL},
    {"printed", "50 W", "what stands on it", true, NULL},
    NOTE, END,
};

const struct opened_key *opened_keys(enum opened_kind kind)
{
    static const struct opened_key *const of[OPENED_KINDS] = {
        [OPENED_CONDUCTOR] = conductor, [OPENED_BUS_BAR] = bus_bar,  [OPENED_BALANCE_LEADS] = balance_leads,
        [OPENED_FUSE] = fuse,           [OPENED_BOARD] = board,      [OPENED_SENSOR] = sensor,
        [OPENED_CELLS] = cells,         [OPENED_CASE] = case_keys,   [OPENED_VENT] = vent,
        [OPENED_SEAL] = seal,           [OPENED_COMPRESSION] = compression, [OPENED_WIRING] = wiring,
        [OPENED_OTHER] = other,
    };
    return of[kind];
}
