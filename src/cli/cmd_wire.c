#include "cli/commands.h"

#include "cli/desk.h"
#include "cli/table_text.h"
#include "quantity/unit.h"
#include "report/teardown_json.h"

const char wire_about[] =
    "What a conductor of the opened sample does at a current: resistance as warm as it gets, volts lost, heat, the hottest\n"
    "place, and the current allowed by the lowest limit met. A lead of a hand's length is ruled by its ends: say how warm\n"
    "the cell and the board are, where a probe was on them.\n\n"
    "  rundown wire '4 x 10 AWG' --length 22cm --current 100A --insulation 200°C --air 35°C\n"
    "  rundown wire '10 AWG' --length 18cm --current 50A --burst 100A --insulation 105°C --cell 38°C --board 52°C\n"
    "  rundown wire '20 x 2 mm' --length 9cm --current 200A --metal copper --bare\n\n"
    "Resistances are computed, not measured: strands, crimps and plating differ. Work on an opened sample only when it is\n"
    "nearly empty, with insulated tools, and never alone; local codes and licensed practice stand above any table.";

enum {
    OPT_LENGTH, OPT_CURRENT, OPT_BURST, OPT_METAL, OPT_INSULATION, OPT_AIR, OPT_CLOSED, OPT_CELL, OPT_BOARD,
    OPT_BUNDLED, OPT_BARE, OPT_JOINT, OPT_JSON,
};

const struct option_spec wire_options[] = {
    [OPT_LENGTH] = {"length", "LENGTH", "from end to end, `22cm`"},
    [OPT_CURRENT] = {"current", "AMPS", "rated current, through all of them together"},
    [OPT_BURST] = {"burst", "AMPS", "a second current, as if it lasted"},
    [OPT_METAL] = {"metal", "NAME", "copper (default), tinned copper, aluminium, CCA, nickel, steel, brass"},
    [OPT_INSULATION] = {"insulation", "TEMP", "what its jacket is rated for"},
    [OPT_AIR] = {"air", "TEMP", "of the air around it (25 °C where nothing is said)"},
    [OPT_CLOSED] = {"closed", NULL, "in a closed case: air moves half as freely"},
    [OPT_CELL] = {"cell", "TEMP", "of the cell or terminal that one end is fixed to; cells are kept below 60 °C"},
    [OPT_BOARD] = {"board", "TEMP", "of the board that the other end is fixed to; boards are kept below 90 °C"},
    [OPT_BUNDLED] = {"bundled", NULL, "parallel ones lie in one bundle"},
    [OPT_BARE] = {"bare", NULL, "no jacket: a bar"},
    [OPT_JOINT] = {"joint", "OHM", "of each crimp or joint (0.05 mΩ where nothing is said)"},
    [OPT_JSON] = {"json", NULL, "print as JSON"},
    {NULL, NULL, NULL},
};

/* Where nothing is said: a good crimp, and a lug under a screw (common practice, no source). Cells keep below 60 °C
 * (usual limit of lithium iron phosphate), boards below 90 °C (common practice, no source). */
static const double joint_ohm = 5e-5, joint_w_per_k = 0.5, cell_degc = 60, board_degc = 90;

struct arguments {
    struct gauge gauge;
    bool sized, closed, bundled, bare, json;
    enum metal metal;
    double length_m, current_a, burst_a, insulation_degc, air_degc, cell_degc, board_degc, joint_ohm;
};

static enum status take_amount(const char *option, const char *value, enum quantity wanted, const char *example,
                               double *ret_value, struct message *message)
{
    enum quantity quantity;
    double number;
    size_t used = quantity_read(span_of(value), '.', &number, NULL, &quantity);
    bool fits = used > 0 && used == strlen(value) && (quantity == wanted || quantity == QUANTITY_NONE);
    if (fits && (wanted == QUANTITY_TEMPERATURE ? number > -60 && number < 400 : number > 0)) {
        *ret_value = number;
        return STATUS_OK;
    }
    status_fail(message, STATUS_USAGE, "--%s cannot use '%s'", option, value);
    return status_remedy(message, "give it as `--%s %s`", option, example);
}

static enum status take_metal(const char *value, struct arguments *a, struct message *message)
{
    a->metal = metal_named(span_of(value));
    if (a->metal != METALS)
        return STATUS_OK;
    status_fail(message, STATUS_USAGE, "--metal does not know '%s'", value);
    return status_remedy(message, "use copper, tinned copper, aluminium, CCA, nickel, steel or brass");
}

static enum status take_size(const char *value, struct arguments *a, struct message *message)
{
    if (a->sized)
        return status_fail(message, STATUS_USAGE, "one conductor at a time, and '%s' is a second", value);
    a->sized = true;
    return gauge_read(span_of(value), &a->gauge, message);
}

static enum status take(int option, const char *value, struct arguments *a, struct message *message)
{
    switch (option) {
    case OPTION_WORD: return take_size(value, a, message);
    case OPT_LENGTH: return take_amount("length", value, QUANTITY_LENGTH, "22cm", &a->length_m, message);
    case OPT_CURRENT: return take_amount("current", value, QUANTITY_CURRENT, "100A", &a->current_a, message);
    case OPT_BURST: return take_amount("burst", value, QUANTITY_CURRENT, "200A", &a->burst_a, message);
    case OPT_METAL: return take_metal(value, a, message);
    case OPT_INSULATION:
        return take_amount("insulation", value, QUANTITY_TEMPERATURE, "105°C", &a->insulation_degc, message);
    case OPT_AIR: return take_amount("air", value, QUANTITY_TEMPERATURE, "35°C", &a->air_degc, message);
    case OPT_CELL: return take_amount("cell", value, QUANTITY_TEMPERATURE, "38°C", &a->cell_degc, message);
    case OPT_BOARD: return take_amount("board", value, QUANTITY_TEMPERATURE, "52°C", &a->board_degc, message);
    case OPT_JOINT: return take_amount("joint", value, QUANTITY_RESISTANCE, "0.1mΩ", &a->joint_ohm, message);
    case OPT_CLOSED: a->closed = true; break;
    case OPT_BUNDLED: a->bundled = true; break;
    case OPT_BARE: a->bare = true; break;
    default: a->json = true;
    }
    return STATUS_OK;
}

static enum status parse(int argc, char **argv, struct arguments *a, struct message *message)
{
    struct option_walk walk = {.argc = argc, .argv = argv, .options = wire_options};
    const char *value = NULL;
    enum status status = STATUS_OK;
    for (int k; status == STATUS_OK && (k = option_next(&walk, &value, message)) != OPTION_END;)
        status = k == OPTION_FAULT ? message->status : take(k, value, a, message);
    if (status != STATUS_OK || (a->sized && a->length_m > 0 && a->current_a > 0))
        return status;
    status_fail(message, STATUS_USAGE, "a conductor needs its size, --length and --current");
    return status_remedy(message, "as in `rundown wire '10 AWG' --length 18cm --current 50A`");
}

static struct wire wire_of(const struct arguments *a)
{
    struct lead_end open = {.degc = a->air_degc, .ohm = a->joint_ohm}, fixed = open;
    fixed.w_per_k = joint_w_per_k;
    bool bare = a->bare || a->gauge.flat;
    struct wire wire = {.insulation_degc = a->insulation_degc, .count = a->burst_a > 0 ? 2 : 1,
                        .limits = {a->insulation_degc, {NAN, NAN}}};
    wire.lead = (struct lead){.gauge = a->gauge, .metal = a->metal, .length_m = a->length_m, .bundled = a->bundled,
                              .jacket_mm = bare ? 0 : lead_usual_jacket_mm(a->gauge.area_mm2), .ends = {open, open},
                              .air_degc = a->air_degc, .emissivity = bare ? 0.3 : 0.9, .convection = a->closed ? 0.5 : 1};
    if (!isnan(a->cell_degc)) {
        wire.lead.ends[0] = fixed;
        wire.lead.ends[0].degc = a->cell_degc;
        wire.limits.end_degc[0] = cell_degc;
    }
    if (!isnan(a->board_degc)) {
        wire.lead.ends[1] = fixed;
        wire.lead.ends[1].degc = a->board_degc;
        wire.limits.end_degc[1] = board_degc;
    }
    struct lead_doubts doubts = lead_doubts_usual();
    for (int k = 0; k < wire.count; k++)
        lead_find(&wire.lead, &doubts, &wire.limits, k == 0 ? a->current_a : a->burst_a, &wire.at[k]);
    return wire;
}

int wire_run(int argc, char **argv)
{
    struct arguments a = {.metal = METAL_COPPER, .insulation_degc = NAN, .air_degc = 25, .cell_degc = NAN,
                          .board_degc = NAN, .joint_ohm = joint_ohm};
    struct message message;
    if (parse(argc, argv, &a, &message) != STATUS_OK)
        return cli_fail(&message);
    struct wire wire = wire_of(&a);
    struct text text = TEXT_EMPTY;
    if (a.json) {
        json_finish(wire_json(&wire), &text);
    } else {
        struct listing rows = listing_of(2);
        wire_account(&wire, &rows);
        table_text(&rows, 0, &text);
        listing_free(&rows);
    }
    enum status status = desk_print(&text, &message);
    text_free(&text);
    return status == STATUS_OK ? STATUS_OK : cli_fail(&message);
}
