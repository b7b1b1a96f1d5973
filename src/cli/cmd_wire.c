#include "cli/calculating.h"
#include "cli/commands.h"

const char wire_about[] =
    "What a conductor of the opened sample does at a current: resistance as warm as it gets, volts lost, heat, the hottest\n"
    "place, and the current allowed by the lowest limit met. A lead of a hand's length is ruled by its ends: say how warm\n"
    "the cell and the board are, where a probe was on them.\n\n"
    "  rundown wire '4 x 10 AWG' --length 22cm --current 100A --insulation 200°C --air 35°C\n"
    "  rundown wire '10 AWG' --length 18cm --current 50A --burst 100A --insulation 105°C --cell 38°C --board 52°C\n"
    "  rundown wire '20 x 2 mm' --length 9cm --current 200A --metal copper --bare\n\n"
    "Resistances are computed, not measured: strands, crimps and plating differ. Work on an opened sample only when it is\n"
    "nearly empty, with insulated tools, and never alone; local codes and licensed practice stand above any table.";

const struct option_spec wire_options[] = {
    {"length", "LENGTH", "from end to end, `22cm`"},
    {"current", "AMPS", "rated current, through all of them together"},
    {"burst", "AMPS", "a second current, as if it lasted"},
    {"metal", "NAME", "copper (default), tinned copper, aluminium, CCA, nickel, steel, brass"},
    {"insulation", "TEMP", "what its jacket is rated for"},
    {"air", "TEMP", "of the air around it (25 °C where nothing is said)"},
    {"closed", NULL, "in a closed case: air moves half as freely"},
    {"cell", "TEMP", "of the cell or terminal that one end is fixed to; cells are kept below 60 °C"},
    {"board", "TEMP", "of the board that the other end is fixed to; boards are kept below 90 °C"},
    {"bundled", NULL, "parallel ones lie in one bundle"},
    {"bare", NULL, "no jacket: a bar"},
    {"joint", "OHM", "of each crimp or joint (0.05 mΩ where nothing is said)"},
    {"json", NULL, "print as JSON"},
    {NULL, NULL, NULL},
};

int wire_run(int argc, char **argv)
{
    return calculating_run("wire", wire_options, NULL, argc, argv);
}
