#include "teardown/inspect_parts.h"

#include "teardown/case_size.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { GROUPS = 40 };
static const double tape_mm = 2; /* what a tape on a bulged case may be off: our convention */
static const double most_wh_per_kg = 220; /* of cells alone, with room to spare: common practice, no source */

static const struct case_group *claimed_group(const struct inspecting *in, const struct opened_look *look)
{
    const char *typed = opened_value(look->item, "group");
    const char *words = typed != NULL ? typed : in->rated->group;
    return words[0] != '\0' ? case_group_named(span_of(words)) : NULL;
}

static void hold_size(const struct inspecting *in, const struct opened_look *look, const double sides_mm[3],
                      struct inspected *item)
{
    struct case_match matches[GROUPS];
    const struct case_group *claimed = claimed_group(in, look);
    size_t count = case_size_find(sides_mm[0], sides_mm[1], sides_mm[2], matches, GROUPS);
    size_t k = 0;
    while (k < count && matches[k].fit == CASE_TOO_LARGE)
        k++;
    if (k < count)
        say_words(item, "fits", "%s %s, %g × %g × %g mm%s%s", matches[k].group->family, matches[k].group->name,
                  matches[k].group->length_mm, matches[k].group->width_mm, matches[k].group->height_mm,
                  matches[k].fit == CASE_MUCH_SMALLER ? ", with spacers" : "",
                  matches[k].group->from_memory ? "; from memory" : "");
    else
        say_words(item, "fits", "no group that is known");
    if (claimed == NULL && opened_value(look->item, "group") != NULL)
        say_means(item, "The group %s is none that is known here.", opened_value(look->item, "group"));
    if (claimed == NULL)
        return;
    struct case_match match = case_size_hold(claimed, sides_mm[0], sides_mm[1], sides_mm[2], tape_mm);
    if (match.fit == CASE_TOO_LARGE)
        say_against(item, RATED_GROUP, "%s group %s: the case is too large by %.0f mm.", claimed->family, claimed->name, match.over_mm);
    else
        say_means(item, "It goes into a tray of %s group %s%s.", claimed->family, claimed->name,
                  match.fit == CASE_MUCH_SMALLER ? ", with spacers" : "");
}

static void say_share(struct inspected *item, double wh, double of, double half, const char *unit, const char *what,
                      const char *called)
{
    char shown[64];
    struct measure share = within_half(wh / of, wh / of * half / of, what);
    if (isnan(share.value))
        return;
    measure_print(&share, unit, shown, sizeof shown);
    say_words(item, called, "%s", shown);
}

static enum status inspect_outside(struct inspecting *in, struct inspected *item)
{
    struct opened_look look = look_at(in, item);
    struct opened_amount mass, inside, outside;
    const struct rated *rated = in->rated;
    double sides_m[3], wh = isnan(rated->rated_wh) ? rated->rated_ah * rated->nominal_v : rated->rated_wh;
    enum status status = opened_sides(&look, "size", sides_m);
    if (status == STATUS_OK)
        status = opened_amount(&look, "mass", QUANTITY_MASS, &mass);
    if (status == STATUS_OK)
        status = opened_amount(&look, "inside air", QUANTITY_TEMPERATURE, &inside);
    if (status == STATUS_OK)
        status = opened_amount(&look, "outside air", QUANTITY_TEMPERATURE, &outside);
    if (status != STATUS_OK)
        return status;
    bool weighed = !isnan(mass.value);
    if (weighed)
        in->out->mass_kg = within_half(mass.value, mass.half, "mass as weighed");
    for (int k = 0; k < 3 && !isnan(sides_m[0]); k++)
        in->out->sides_m[k] = within_half(sides_m[k], tape_mm / 1000, "side as measured");
    double sides_mm[3] = {1000 * sides_m[0], 1000 * sides_m[1], 1000 * sides_m[2]};
    if (isnan(sides_mm[0])) {
        sides_mm[0] = rated->length_mm;
        sides_mm[1] = rated->width_mm;
        sides_mm[2] = rated->height_mm;
    }
    if (!isnan(sides_mm[0]) && !isnan(sides_mm[1]))
        hold_size(in, &look, sides_mm, item);
    double kg = weighed ? mass.value : rated->mass_kg;
    say_share(item, wh, kg, weighed ? mass.half : 0, "Wh/kg", "mass as weighed", "the label's energy, by mass");
    if (wh / kg > most_wh_per_kg)
        say_means(item, "No pack of lithium iron phosphate holds so much for its mass: the %s or the label's energy is wrong.",
                  weighed ? "mass" : "label's mass");
    double litres = sides_mm[0] * sides_mm[1] * sides_mm[2] / 1e6;
    say_share(item, wh, litres, litres * tape_mm * (1 / sides_mm[0] + 1 / sides_mm[1] + 1 / sides_mm[2]), "Wh/L",
              "sides as measured", "the label's energy, by volume");
    if (!isnan(inside.value) && !isnan(outside.value))
        say_words(item, inside.value < outside.value ? "air inside below outside" : "air inside above outside", "%.3g K",
                  fabs(inside.value - outside.value));
    if (inside.value < outside.value)
        say_means(item, "It was cooler inside than outside: it came from a colder place, or the two are swapped.");
    if (opened_says(item->item, "closed by", "glue") || opened_says(item->item, "closed by", "welded"))
        say_means(item, "It cannot be closed again as it was: no cell or board of it can be mended.");
    return STATUS_OK;
}

/* First and second numeral of an IP code; -1 where it is X or missing. */
static void read_ingress(const char *code, int ret_numerals[2])
{
    const char *at = strcasestr(code, "IP");
    ret_numerals[0] = ret_numerals[1] = -1;
    at = at != NULL ? at + 2 : "";
    at += strspn(at, " -");
    for (int k = 0; k < 2 && at[0] != '\0'; k++, at++)
        ret_numerals[k] = at[0] >= '0' && at[0] <= '9' ? at[0] - '0' : -1;
}

/* What must not get through for the first numeral, mm (IEC 60529, from memory); each numeral keeps what those below it
 * keep; 6 keeps dust that passes a sieve of 75 µm. */
static const double probe_mm[] = {INFINITY, 50, 12.5, 2.5, 1, 1, 0.075};

/* An open way into the case beside a claimed code. Which code a case has is found by tests and not by looking. */
static void hold_ingress(const struct inspecting *in, const char *way, double wide_mm, struct inspected *item)
{
    int numerals[2];
    if (!in->rated->claims_ingress)
        return;
    read_ingress(in->rated->ingress, numerals);
    bool solids = numerals[0] >= 1 && numerals[0] <= 6 &&
                  (isnan(wide_mm) ? numerals[0] >= 5 : wide_mm >= probe_mm[numerals[0]]);
    bool water = numerals[1] >= 5 && !(wide_mm < 1);
    char wide[32] = "";
    if (!isnan(wide_mm))
        snprintf(wide, sizeof wide, " of %.3g mm", wide_mm);
    if (solids)
        say_against(item, RATED_INGRESS, "%s: %s%s lets in what its %d keeps out, %s.", in->rated->ingress, way, wide, numerals[0],
                    numerals[0] >= 5 ? "dust" : "a rod as thick");
    else if (water)
        say_against(item, RATED_INGRESS, "%s: %s%s is open to the water that its %d stands for.", in->rated->ingress, way, wide, numerals[1]);
    else
        say_means(item, "Whether this goes with %s cannot be seen.", in->rated->ingress);
    say_means(item, "A code is found by the tests of IEC 60529, not by eye.");
}

static enum status inspect_vent(struct inspecting *in, struct inspected *item)
{
    static const char *const ways[] = {"hole", "slot", "gap"}, *const shown[] = {"an open hole", "an open slot", "an open gap"};
    struct opened_look look = look_at(in, item);
    struct opened_amount opening;
    enum status status = opened_amount(&look, "opening", QUANTITY_LENGTH, &opening);
    if (status != STATUS_OK)
        return status;
    for (int k = 0; k < 3; k++)
        if (opened_says(item->item, "type", ways[k]))
            hold_ingress(in, shown[k], 1000 * opening.value, item);
    if (opened_none(item->item, "type"))
        say_means(item, "Gas of a failing cell has no way out but through the joints: the case may burst.");
    else if (opened_value(item->item, "type") != NULL && !opened_says(item->item, "type", "unknown"))
        say_means(item, "Gas of a failing cell comes out here, and it burns: keep sparks and people from it.");
    return STATUS_OK;
}

static enum status inspect_seal(struct inspecting *in, struct inspected *item)
{
    struct opened_look look = look_at(in, item);
    struct opened_amount gap;
    enum status status = opened_amount(&look, "gap", QUANTITY_LENGTH, &gap);
    if (status != STATUS_OK)
        return status;
    if (opened_none(item->item, "type"))
        hold_ingress(in, "a joint without a seal", 1000 * gap.value, item);
    else if (gap.value > 0)
        hold_ingress(in, "a gap beside the seal", 1000 * gap.value, item);
    return STATUS_OK;
}

static enum status inspect_hold(struct inspecting *in, struct inspected *item)
{
    struct opened_look look = look_at(in, item);
    int fixed;
    enum status status = opened_yes(&look, "fixed", &fixed);
    if (status != STATUS_OK)
        return status;
    if (opened_none(item->item, "type"))
        say_means(item, "Prismatic and pouch cells swell as they age: nothing holds them together here.");
    if (opened_none(item->item, "spacers"))
        say_means(item, "Cans are live and often bare at their corners: only wrappers part neighbours here.");
    if (fixed == 0)
        say_means(item, "Cells that move work on their bus bars and studs at every jolt.");
    return STATUS_OK;
}

static enum status inspect_wiring(struct inspecting *in, struct inspected *item)
{
    struct opened_look look = look_at(in, item);
    int relief, chafing;
    enum status status = opened_yes(&look, "strain relief", &relief);
    if (status == STATUS_OK)
        status = opened_yes(&look, "chafing", &chafing);
    if (status != STATUS_OK)
        return status;
    if (relief == 0)
        say_means(item, "Pull at a cable goes to its joint.");
    if (chafing == 1)
        say_means(item, "A jacket that wears through is a short without a fuse before it.");
    if (opened_value(item->item, "loose") != NULL && !opened_none(item->item, "loose"))
        say_means(item, "A loose joint warms, oxidises, and warms more.");
    return STATUS_OK;
}

enum status inspect_case(struct inspecting *in, struct inspected *item)
{
    switch (item->item->kind) {
    case OPENED_CASE: return inspect_outside(in, item);
    case OPENED_VENT: return inspect_vent(in, item);
    case OPENED_SEAL: return inspect_seal(in, item);
    case OPENED_COMPRESSION: return inspect_hold(in, item);
    case OPENED_WIRING: return inspect_wiring(in, item);
    default: return STATUS_OK;
    }
}
