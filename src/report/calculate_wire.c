#include "report/calculate_parts.h"
#include "report/teardown_json.h"

#include "base/memory.h"

#include <math.h>
#include <string.h>

/* Where nothing is said: a good crimp, and a lug under a screw (common practice, no source). Cells keep below 60 °C
 * (usual limit of lithium iron phosphate), boards below 90 °C (common practice, no source). */
static const double joint_ohm = 5e-5, joint_w_per_k = 0.5, air_degc = 25, cell_degc = 60, board_degc = 90;

struct asked {
    struct gauge gauge;
    bool sized, closed, bundled, bare, metal_said;
    enum metal metal;
    double length_m, current_a, burst_a, insulation_degc, air_degc, cell_degc, board_degc, joint_ohm; /* NaN: not said */
};

static void *begin(void)
{
    struct asked *asked = memory_get(sizeof *asked);
    *asked = (struct asked){.metal = METAL_COPPER, .length_m = NAN, .current_a = NAN, .burst_a = NAN, .insulation_degc = NAN,
                            .air_degc = NAN, .cell_degc = NAN, .board_degc = NAN, .joint_ohm = NAN};
    return asked;
}

static enum status take_size(const char *value, struct asked *asked, struct message *message)
{
    if (asked->sized)
        return status_fail(message, STATUS_USAGE, "one conductor at a time, and '%s' is a second", value);
    enum status status = gauge_read(span_of(value), &asked->gauge, message);
    asked->sized = status == STATUS_OK;
    return status;
}

static enum status take_metal(const char *value, struct asked *asked, struct message *message)
{
    enum metal metal = metal_named(span_of(value));
    if (metal == METALS)
        return calculate_refuse("metal", value, "copper, tinned copper, aluminium, CCA, nickel, steel or brass", message);
    asked->metal = metal;
    asked->metal_said = true;
    return STATUS_OK;
}

static enum status take(void *context, const char *field, const char *value, struct message *message)
{
    struct asked *a = context;
    const struct {
        struct calculate_amount amount;
        double *place;
    } amounts[] = {
        {{"length", "22 cm", QUANTITY_LENGTH, NAN, 0, 1e3}, &a->length_m},
        {{"current", "100 A", QUANTITY_CURRENT, 1, 0, 1e6}, &a->current_a},
        {{"burst", "200 A", QUANTITY_CURRENT, 1, 0, 1e6}, &a->burst_a},
        {{"insulation", "105 °C", QUANTITY_TEMPERATURE, 1, -60, 400}, &a->insulation_degc},
        {{"air", "35 °C", QUANTITY_TEMPERATURE, 1, -60, 400}, &a->air_degc},
        {{"cell", "38 °C", QUANTITY_TEMPERATURE, 1, -60, 400}, &a->cell_degc},
        {{"board", "52 °C", QUANTITY_TEMPERATURE, 1, -60, 400}, &a->board_degc},
        {{"joint", "0.1 mΩ", QUANTITY_RESISTANCE, NAN, 0, 1}, &a->joint_ohm},
    };
    for (size_t k = 0; k < sizeof amounts / sizeof *amounts; k++)
        if (strcmp(field, amounts[k].amount.field) == 0)
            return calculate_take(&amounts[k].amount, value, amounts[k].place, message);
    if (strcmp(field, "size") == 0)
        return take_size(value, a, message);
    if (strcmp(field, "metal") == 0)
        return take_metal(value, a, message);
    bool *place = strcmp(field, "closed") == 0 ? &a->closed : strcmp(field, "bundled") == 0 ? &a->bundled : &a->bare;
    return calculate_take_switch(field, value, place, message);
}

static double said_or(double said, double otherwise)
{
    return isnan(said) ? otherwise : said;
}

/* What cell and board are above the air is there because the stated current flows: beyond it they get warmer with its
 * square. Below it they are kept as stated, which is the safe side. */
static struct lead warmed_beyond(const struct lead *lead, double at_a)
{
    struct lead warm = *lead;
    for (int e = 0; e < 2; e++) {
        double above_k = warm.ends[e].degc - lead->air_degc;
        if (!(above_k > 0))
            continue;
        warm.ends[e].degc = lead->air_degc;
        warm.ends[e].k_per_a2 = above_k / (at_a * at_a);
    }
    return warm;
}

static struct wire wire_of(const struct asked *a)
{
    double air = said_or(a->air_degc, air_degc);
    struct lead_end open = {.degc = air, .ohm = said_or(a->joint_ohm, joint_ohm)}, fixed = open;
    fixed.w_per_k = joint_w_per_k;
    bool bare = a->bare || a->gauge.flat;
    struct wire wire = {.insulation_degc = a->insulation_degc, .count = a->burst_a > 0 ? 2 : 1,
                        .limits = {bare ? NAN : said_or(a->insulation_degc, lead_unknown_jacket_degc), {NAN, NAN}}};
    wire.lead = (struct lead){.gauge = a->gauge, .metal = a->metal, .length_m = a->length_m, .bundled = a->bundled,
                              .jacket_mm = bare ? 0 : lead_usual_jacket_mm(a->gauge.area_mm2), .ends = {open, open},
                              .air_degc = air, .emissivity = bare ? 0.3 : 0.9, .convection = a->closed ? 0.5 : 1};
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
    struct lead_doubts doubts = lead_doubts_usual(&a->gauge);
    for (int k = 0; k < wire.count; k++)
        lead_find(&wire.lead, &doubts, &wire.limits, k == 0 ? a->current_a : a->burst_a, &wire.at[k]);
    struct lead_findings *f = &wire.at[0], beyond;
    struct lead warm = warmed_beyond(&wire.lead, a->current_a);
    doubts.at_a = a->current_a;
    lead_find(&warm, &doubts, &wire.limits, a->current_a, &beyond);
    bool at_limit = !measure_known(&f->allowed_a) && f->limit != LEAD_NONE; /* without any current */
    if (!at_limit && measure_known(&beyond.allowed_a) && !(f->allowed_a.value <= a->current_a)) {
        f->allowed_a = beyond.allowed_a;
        f->limit = beyond.limit;
    }
    return wire;
}

static void add_assumed(const struct asked *a, const struct wire *wire, struct listing *assumed)
{
    if (!a->metal_said)
        listing_add(assumed, "Copper.");
    if (isnan(a->air_degc))
        listing_add(assumed, "Air of %g °C around it.", air_degc);
    if (isnan(a->joint_ohm))
        listing_add(assumed, "%g mΩ for each crimp or joint (common practice, no source).", joint_ohm * 1000);
    if (isnan(a->cell_degc) || isnan(a->board_degc))
        listing_add(assumed, "No heat leaves through %s, of which no temperature is told.",
                    isnan(a->cell_degc) && isnan(a->board_degc) ? "the ends" : "the other end");
    if (!isnan(a->cell_degc))
        listing_add(assumed, "Cells stay below %g °C (usual limit of lithium iron phosphate).", cell_degc);
    if (!isnan(a->board_degc))
        listing_add(assumed, "Boards stay below %g °C (common practice, no source).", board_degc);
    if (a->cell_degc > wire->lead.air_degc || a->board_degc > wire->lead.air_degc)
        listing_add(assumed, "Beyond %g A what its ends are above the air grows with the square of the current.", a->current_a);
    if (isnan(a->insulation_degc) && wire->lead.jacket_mm > 0)
        listing_add(assumed, "Its jacket, whose rating is not told, bears %g °C (the least of 33 CFR 183.425, Table 5).",
                    lead_unknown_jacket_degc);
    struct lead_doubts d = lead_doubts_usual(&a->gauge);
    listing_add(assumed, "In doubt: section %g %%, length %g mm, joints %g %%, air and ends %g K, convection %g %%.",
                d.area_share * 100, d.length_m * 1000, d.joint_share * 100, d.air_k, d.convection_share * 100);
}

static enum status answer(const void *context, struct calculated *calculated, struct message *message)
{
    const struct asked *asked = context;
    if (!asked->sized || isnan(asked->length_m) || isnan(asked->current_a)) {
        status_fail(message, STATUS_USAGE, "a conductor needs its size, length and current");
        return status_remedy(message, "as in 10 AWG, 18 cm, 50 A");
    }
    if (!isnan(asked->insulation_degc) && (asked->bare || asked->gauge.flat)) {
        status_fail(message, STATUS_USAGE, "a bare bar has no insulation that could be rated");
        return status_remedy(message, "leave the insulation out, or the size of a wire instead of a bar");
    }
    struct wire wire = wire_of(asked);
    calculated->json = wire_json(&wire);
    wire_account(&wire, &calculated->rows);
    add_assumed(asked, &wire, &calculated->assumed);
    return STATUS_OK;
}

static const char *const fields[] = {"size", "length", "current", "burst", "metal", "insulation", "air", "closed", "cell",
                                     "board", "bundled", "bare", "joint", NULL};
static const char *const sources[] = {
    "Sections of gauges: ASTM B258.",
    "Copper: 1/58 Ω·mm²/m at 20 °C, 0.00393 /K (IEC 60028, from memory).",
    "Heat to the air: natural convection of a cylinder (Churchill and Chu 1975) and radiation, share of doubt from memory.",
    "Table for boats: 33 CFR 183.425, Table 5. Melting: Onderdonk.", NULL};
static const char caution[] =
    "Computed, not measured: strands, crimps and plating differ. Work on an opened sample only when it is nearly empty, with "
    "insulated tools, and never alone. Local codes and licensed practice stand above any table.";
const struct calculation calculate_wire = {.name = "wire", .word = "size", .fields = fields, .method = "docs/teardown.md",
                                           .sources = sources, .caution = caution, .begin = begin, .take = take,
                                           .answer = answer};
