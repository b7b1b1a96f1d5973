#include "teardown/inspect_parts.h"

#include "base/nearest.h"
#include "intake/amount.h"
#include "numeric/budget.h"
#include "teardown/ampacity.h"
#include "teardown/fusing.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

/* What an end is fixed to, and how warm that may be: cells of lithium iron phosphate 60 °C (usual limit of their makers);
 * terminals 75 °C, as NEC 110.14(C) has it for those above 100 A (from memory); boards and fuses 90 °C (common practice,
 * no source). A joint carries 0.5 W/K and has 0.05 mΩ where nothing is said (common practice, no source). */
static const struct {
    const char *word, *shown;
    double limit_degc;
    bool by_board;
} end_kinds[] = {{"cell", "the cell", 60, false},         {"cells", "the cell", 60, false}, {"bus bar", "the bus bar", 60, false},
                 {"terminal", "the terminal", 75, false}, {"board", "the board", 90, true}, {"BMS", "the board", 90, true},
                 {"fuse", "the fuse", 90, true},          {"shunt", "the shunt", 90, true}};
enum { END_KINDS = sizeof end_kinds / sizeof end_kinds[0] };
static const double joint_ohm = 5e-5, joint_w_per_k = 0.5;

static const double certain = 0.975; /* probability that makes a contradiction */

struct lead_seen {
    struct lead lead;
    struct lead_limits limits;
    struct lead_doubts doubts;
    double insulation_degc; /* NaN */
    bool sized, long_known, metal_said, end_said[2], ends_known;
    const char *end_words[2]; /* static */
};

/* Air and board are as warm as they are because current flows: what they are above the air outside grows with its
 * square, as the heat does that makes it. Taken as a constant it would let a lead carry far more than it can. What was
 * colder than the air outside comes from a cold place: no current cools it further, and by and by it is as warm as that. */
static double rise_k_per_a2(const struct inspecting *in, double degc)
{
    return fmax(degc - in->around.outside_degc, 0) / (in->around.at_a * in->around.at_a);
}

/* The kind of an end by its first words; -1: none that is known. A slip of a known word is a fault, since what an end is
 * decides what the lead may carry. */
static enum status end_kind(const struct opened_look *look, const struct opened_entry *entry, int *ret_kind)
{
    const char *words[END_KINDS + 1] = {NULL};
    *ret_kind = -1;
    for (int k = 0; k < END_KINDS && *ret_kind < 0; k++)
        if (opened_says(look->item, entry->key, end_kinds[k].word))
            *ret_kind = k;
    if (*ret_kind >= 0)
        return STATUS_OK;
    for (int k = 0; k < END_KINDS; k++)
        words[k] = end_kinds[k].word;
    struct span head = span_trim((struct span){entry->value, strcspn(entry->value, ",;")});
    const char *near = name_nearest(head, words);
    if (near == NULL || opened_says(look->item, entry->key, "other"))
        return STATUS_OK;
    opened_fault(look, entry, 0, "`%.*s` is no end that is known", (int)head.n, head.p);
    return status_remedy(look->message, "`%s` was meant, perhaps; begin with `other` where it is none of these", near);
}

/* A temperature among the words: `cell, bolted lug, 41 °C`, `board at 55 °C`. NaN: none. */
static enum status end_temperature(const struct opened_look *look, const struct opened_entry *entry, double *ret_degc)
{
    *ret_degc = NAN;
    for (size_t k = 1; entry->value[k] != '\0'; k++) {
        struct amount amount;
        size_t used;
        bool begins = isdigit((unsigned char)entry->value[k]) && strchr(" ,;-", entry->value[k - 1]) != NULL;
        if (!begins || amount_read(span_of(entry->value + k), '\0', &amount, &used, NULL) != STATUS_OK || used == 0)
            continue;
        bool rest = entry->value[k + used] == '\0' && strrchr(entry->value, ',') != NULL; /* `, 35 V` */
        if (amount.quantity != QUANTITY_TEMPERATURE && !(rest && amount.quantity != QUANTITY_NONE))
            continue;
        struct opened_amount read;
        enum status status = opened_amount_at(look, entry, k - (entry->value[k - 1] == '-'), QUANTITY_TEMPERATURE, &read);
        if (status == STATUS_OK && !isnan(*ret_degc))
            status = opened_fault(look, entry, k, "one end has one temperature");
        if (status != STATUS_OK)
            return status;
        *ret_degc = read.value;
        k += used - 1;
    }
    return STATUS_OK;
}

static enum status read_end(const struct inspecting *in, const struct opened_look *look, int e, struct lead_seen *seen)
{
    static const char *const keys[2] = {"from", "to"};
    const struct opened_entry *entry = opened_entry(look->item, keys[e]);
    int kind = look->item->kind == OPENED_CONDUCTOR && e == 1 ? 4 : 0;
    double read_degc = NAN;
    enum status status = entry != NULL ? end_kind(look, entry, &kind) : STATUS_OK;
    if (status == STATUS_OK && entry != NULL)
        status = end_temperature(look, entry, &read_degc);
    if (status != STATUS_OK)
        return status;
    bool by_board = kind >= 0 && end_kinds[kind].by_board;
    seen->end_words[e] = kind < 0 ? "that end" : end_kinds[kind].shown;
    seen->limits.end_degc[e] = kind < 0 ? NAN : end_kinds[kind].limit_degc;
    seen->end_said[e] = entry != NULL;
    seen->ends_known = seen->ends_known && kind >= 0;
    double degc = !isnan(read_degc) ? read_degc : by_board ? in->around.board_degc : in->around.inside_degc;
    bool read = !isnan(read_degc) || (by_board ? in->around.board_read : in->around.inside_read);
    seen->lead.ends[e] = (struct lead_end){.degc = in->around.outside_degc, .k_per_a2 = rise_k_per_a2(in, degc),
                                           .w_per_k = kind < 0 ? 0 : joint_w_per_k, .ohm = joint_ohm};
    seen->doubts.end_k = fmax(seen->doubts.end_k, read ? 3 : 8);
    return STATUS_OK;
}

static enum status read_insulation(const struct opened_look *look, struct lead_seen *seen)
{
    struct opened_amount rated;
    bool flat = seen->sized && seen->lead.gauge.flat;
    bool bare = opened_says(look->item, "insulation", "none") || look->item->kind == OPENED_BUS_BAR || flat;
    enum status status = bare ? STATUS_OK : opened_amount(look, "insulation", QUANTITY_TEMPERATURE, &rated);
    seen->insulation_degc = bare || status != STATUS_OK ? NAN : rated.value;
    seen->limits.jacket_degc = !bare && isnan(seen->insulation_degc) ? lead_unknown_jacket_degc : seen->insulation_degc;
    seen->lead.emissivity = bare ? 0.3 : 0.9;
    seen->lead.jacket_mm = bare || !seen->sized ? 0 : lead_usual_jacket_mm(seen->lead.gauge.area_mm2);
    return status;
}

static enum status read_lead(const struct inspecting *in, const struct opened_look *look, struct lead_seen *ret_seen)
{
    struct lead_seen seen = {.ends_known = true};
    struct opened_amount length, joint;
    enum metal metal;
    int bundled = -1;
    enum status status = opened_gauge(look, &seen.sized, &seen.lead.gauge, &metal);
    seen.doubts = lead_doubts_usual(&seen.lead.gauge);
    seen.doubts.at_a = in->around.at_a;
    seen.doubts.end_k = 0;
    if (status == STATUS_OK)
        status = opened_amount(look, "length", QUANTITY_LENGTH, &length);
    if (status == STATUS_OK)
        status = opened_amount(look, "joint", QUANTITY_RESISTANCE, &joint);
    if (status == STATUS_OK)
        status = opened_yes(look, "bundled", &bundled);
    if (status == STATUS_OK)
        status = read_insulation(look, &seen);
    for (int e = 0; e < 2 && status == STATUS_OK; e++)
        status = read_end(in, look, e, &seen);
    if (status != STATUS_OK)
        return status;
    seen.metal_said = metal != METALS;
    seen.lead.metal = seen.metal_said ? metal : METAL_COPPER;
    seen.long_known = !isnan(length.value);
    seen.lead.length_m = length.value;
    seen.lead.bundled = bundled == 1;
    seen.lead.air_degc = in->around.outside_degc;
    seen.lead.air_k_per_a2 = rise_k_per_a2(in, in->around.inside_degc);
    seen.lead.convection = 0.5; /* in a closed case air moves half as freely: common practice, no source */
    seen.doubts.air_k = in->around.inside_read ? 3 : 8;
    if (seen.long_known)
        seen.doubts.length_m = fmax(0.005, length.half);
    for (int e = 0; e < 2 && !isnan(joint.value); e++)
        seen.lead.ends[e].ohm = joint.value;
    *ret_seen = seen;
    return STATUS_OK;
}

static struct lead in_open_air(const struct lead *lead)
{
    struct lead open = *lead;
    open.air_k_per_a2 = 0;
    open.convection = 1;
    for (int e = 0; e < 2; e++)
        open.ends[e].k_per_a2 = fmax(open.ends[e].k_per_a2 - lead->air_k_per_a2, 0);
    return open;
}

static const char *limit_words(const struct lead_seen *seen, enum lead_limit limit, double *ret_degc)
{
    *ret_degc = limit == LEAD_JACKET ? seen->limits.jacket_degc : seen->limits.end_degc[limit == LEAD_END_1];
    return limit == LEAD_JACKET ? "its jacket" : limit == LEAD_END_0 ? seen->end_words[0] : seen->end_words[1];
}

static const struct lead_limits no_limits = {NAN, {NAN, NAN}};

static void say_at(const struct inspecting *in, const struct lead_seen *seen, double a, const char *called,
                   struct inspected *item)
{
    struct lead_findings closed, open;
    struct lead outside = in_open_air(&seen->lead);
    lead_find(&seen->lead, &seen->doubts, &no_limits, a, &closed);
    lead_find(&outside, &seen->doubts, &no_limits, a, &open);
    say_words(item, "density", "%.3g A/mm² at %g A %s", closed.a_per_mm2, a, called);
    say_measure(item, QUANTITY_RESISTANCE, &closed.ohm, "resistance, as warm as %g A make it", a);
    say_measure(item, QUANTITY_VOLTAGE, &closed.drop_v, "volts lost at %g A", a);
    say_measure(item, QUANTITY_POWER, &closed.heat_w, "heat at %g A", a);
    say_measure(item, QUANTITY_TEMPERATURE, &closed.hottest_degc, "hottest place at %g A, in the closed case", a);
    say_measure(item, QUANTITY_TEMPERATURE, &open.hottest_degc, "the same in open still air");
    if (!measure_known(&closed.drop_v))
        return;
    if (!isnan(in->rated->nominal_v))
        say_means(item, "At %g A it loses %.2g %% of the nominal volts and leaves %.2g W in the case.", a,
                  100 * closed.drop_v.value / in->rated->nominal_v, closed.heat_w.value);
    else
        say_means(item, "At %g A it leaves %.2g W in the case.", a, closed.heat_w.value);
}

static void say_peak(const struct inspecting *in, const struct lead_seen *seen, struct inspected *item)
{
    const struct rated *rated = in->rated;
    struct lead_findings f;
    struct lead_state before;
    double area = gauge_area_mm2(&seen->lead.gauge), a = rated->peak_a;
    lead_find(&seen->lead, &seen->doubts, &no_limits, a, &f);
    say_measure(item, QUANTITY_VOLTAGE, &f.drop_v, "volts lost at %g A", a);
    say_measure(item, QUANTITY_TEMPERATURE, &f.hottest_degc, "hottest place if %g A lasted", a);
    if (seen->lead.metal > METAL_TINNED_COPPER || isnan(seen->insulation_degc) || isnan(rated->continuous_a) ||
        !lead_solve(&seen->lead, rated->continuous_a, &before) || before.hottest_degc >= seen->insulation_degc)
        return;
    double s = adiabatic_time_s(area, before.hottest_degc, seen->insulation_degc, a);
    if (s > 5) /* heat escapes meanwhile */
        return;
    say_words(item, "time at the peak",
              "%.2g s at %g A bring the jacket from %.0f to %.0f °C if no heat escapes (IEC 60949, for up to 5 s)", s, a,
              before.hottest_degc, seen->insulation_degc);
    if (s < rated->peak_s)
        say_against(item, RATED_PEAK, "%g A for %g s: without loss of heat the jacket of the %s is at its limit after %.2g s.", a,
                    rated->peak_s, item->item->title, s);
}

static double allowed_by(const struct lead *lead, const struct lead_limits *limits)
{
    enum lead_limit limit;
    return lead_current(lead, limits, &limit);
}

/* One large conductor instead of several, and several less one. */
static void say_parallel(const struct lead_seen *seen, double limit_a, struct inspected *item)
{
    struct lead one = seen->lead, fewer = seen->lead;
    int count = seen->lead.gauge.parallel;
    if (count < 2 || seen->lead.gauge.flat)
        return;
    one.gauge = (struct gauge){.parallel = 1, .area_mm2 = gauge_area_mm2(&seen->lead.gauge), .awg = NAN};
    one.jacket_mm = lead_usual_jacket_mm(one.gauge.area_mm2);
    one.bundled = false;
    fewer.gauge.parallel = count - 1;
    double one_a = allowed_by(&one, &seen->limits), fewer_a = allowed_by(&fewer, &seen->limits);
    if (isnan(one_a) || isnan(fewer_a))
        return;
    say_words(item, "one instead of several", "one conductor of %.3g mm² would be allowed %.3g A, and these %d together %.3g A",
              one.gauge.area_mm2, one_a, count, limit_a);
    say_words(item, "with one of them off", "the other%s would be allowed %.3g A", count > 2 ? "s" : "", fewer_a);
    say_means(item, "Side by side they share the current only as evenly as their crimps allow.");
}

static void say_allowed(const struct inspecting *in, const struct lead_seen *seen, struct inspected *item)
{
    struct lead_findings f;
    struct lead outside = in_open_air(&seen->lead);
    double degc, claimed = in->rated->continuous_a;
    lead_find(&seen->lead, &seen->doubts, &seen->limits, isnan(claimed) ? 1 : claimed, &f);
    say_measure(item, QUANTITY_CURRENT, &f.allowed_a, "current allowed in the closed case");
    if (!measure_known(&f.allowed_a))
        return;
    const char *by = limit_words(seen, f.limit, &degc);
    say_words(item, "set by", "%s, that may not be above %g °C", by, degc);
    say_words(item, "in open still air", "%.3g A", allowed_by(&outside, &seen->limits));
    struct lead_limits jacket = {seen->insulation_degc, {NAN, NAN}};
    double jacket_a = allowed_by(&seen->lead, &jacket);
    if (f.limit != LEAD_JACKET && !isnan(jacket_a))
        say_words(item, "by its jacket alone", "%.3g A, which does not count: %s is too warm before", jacket_a, by);
    say_parallel(seen, f.allowed_a.value, item);
    if (f.limit == LEAD_JACKET && isnan(seen->insulation_degc)) { /* nothing is held against a label on a guess */
        say_means(item, "What it may carry turns on its jacket, whose rating is not known.");
        return;
    }
    item->limit_a = f.allowed_a.value;
    item->limit_u_a = f.allowed_a.u;
    if (isnan(claimed) || !in_the_path(item->item))
        return;
    double below = budget_probability_below(&f.allowed_a, claimed);
    char shown[64];
    measure_print_in(&f.allowed_a, QUANTITY_CURRENT, shown, sizeof shown);
    if (below > certain)
        say_against(item, RATED_CONTINUOUS, "%g A continuous: by a heat balance the %s carries %s before %s is above %g °C.", claimed,
                    item->item->title, shown, by, degc);
    else if (below < 1 - certain)
        say_means(item, "By this balance it carries the claimed %g A.", claimed);
    else
        say_means(item, "Whether it carries the claimed %g A is too close to call by this balance.", claimed);
}

static void say_tables(const struct inspecting *in, const struct lead_seen *seen, struct inspected *item)
{
    const struct gauge *gauge = &seen->lead.gauge;
    double claimed = in->rated->continuous_a;
    if (gauge->flat || seen->lead.metal > METAL_TINNED_COPPER)
        return;
    struct ampacity boats = ampacity_boats(gauge->area_mm2, seen->insulation_degc);
    double table_a = boats.a * gauge->parallel;
    if (!isnan(table_a) && in_the_path(item->item))
        say_words(item, "table for boats", "%g A%s (33 CFR 183.425, Table 5: metres of cable in air at 30 °C)%s", table_a,
                  gauge->parallel > 1 ? " if each carries its share apart" : "",
                  table_a < claimed ? "; less than the label says" : "");
    if (table_a < item->limit_a)
        say_means(item, "That it carries more than a table allows rests on ends as cool as they are taken here.");
    double melts_a = fusing_current_a(gauge_area_mm2(gauge), in->around.inside_degc, 1);
    say_words(item, "melts within a second", "at about %.2g %s (Onderdonk; jacket, solder and crimps go before)",
              melts_a < 1000 ? melts_a : melts_a / 1000, melts_a < 1000 ? "A" : "kA");
}

static void say_assumed(const struct inspecting *in, const struct lead_seen *seen, struct inspected *item)
{
    const struct surroundings *around = &in->around;
    char words[360];
    int n = snprintf(words, sizeof words,
                     "at %g A air inside %.0f °C (%s), board %.0f °C (%s); warmer with the square of the current",
                     around->at_a, around->inside_degc, around->inside_read ? "read" : "15 K above outside",
                     around->board_degc, around->board_read ? "read" : "20 K above that");
    if (!seen->metal_said)
        n += snprintf(words + n, sizeof words - (size_t)n, "; copper");
    if (!seen->end_said[0] && !seen->end_said[1])
        n += snprintf(words + n, sizeof words - (size_t)n, "; ends not described: %s and %s", seen->end_words[0], seen->end_words[1]);
    else if (!seen->end_said[0] || !seen->end_said[1])
        n += snprintf(words + n, sizeof words - (size_t)n, "; its other end not described: %s", seen->end_words[seen->end_said[0]]);
    if (!seen->ends_known)
        n += snprintf(words + n, sizeof words - (size_t)n, "; no heat leaves at an end of no known kind");
    if (isnan(seen->insulation_degc) && seen->lead.jacket_mm > 0)
        snprintf(words + n, sizeof words - (size_t)n, "; its jacket, whose rating is not known, for %g °C", lead_unknown_jacket_degc);
    say_words(item, "taken for this", "%s", words);
}

static enum status read_balance_leads(const struct opened_look *look, const struct inspecting *in, struct inspected *item)
{
    int count = 0, fused = -1, cells = in->rated->cells;
    enum status status = opened_count(look, "count", &count);
    if (status == STATUS_OK)
        status = opened_yes(look, "fused", &fused);
    if (status != STATUS_OK)
        return status;
    if (count > 0 && cells > 0 && count != cells + 1)
        say_means(item, "%d leads do not fit %d cells in series, which need %d.", count, cells, cells + 1);
    if (fused == 0)
        say_means(item, "Each goes to a cell without a fuse: where one chafes through, it is a short across a cell.");
    return STATUS_OK;
}

/* Bars and their joints as measured, instead of by their size. */
static enum status say_measured(const struct opened_look *look, const struct inspecting *in, struct inspected *item)
{
    struct opened_amount ohm;
    if (look->item->kind != OPENED_BUS_BAR)
        return STATUS_OK;
    enum status status = opened_amount(look, "resistance", QUANTITY_RESISTANCE, &ohm);
    if (status != STATUS_OK || isnan(ohm.value) || isnan(in->rated->continuous_a))
        return status;
    struct measure measured = within_half(ohm.value, ohm.half, "resistance as read");
    struct measure drop = measure_scale(&measured, in->rated->continuous_a);
    budget_close(&drop);
    say_measure(item, QUANTITY_VOLTAGE, &drop, "volts lost at %g A, by the measured resistance", in->rated->continuous_a);
    return STATUS_OK;
}

enum status inspect_conductor(struct inspecting *in, struct inspected *item)
{
    struct opened_look look = look_at(in, item);
    struct lead_seen seen;
    char size[96];
    enum status status = read_lead(in, &look, &seen);
    if (status == STATUS_OK && item->item->kind == OPENED_BALANCE_LEADS)
        status = read_balance_leads(&look, in, item);
    if (status == STATUS_OK)
        status = say_measured(&look, in, item);
    if (status != STATUS_OK || !seen.sized)
        return status;
    gauge_print(&seen.lead.gauge, size, sizeof size);
    if (seen.lead.gauge.parallel > 1)
        say_words(item, "section", "%s, %.3g mm² in all", size, gauge_area_mm2(&seen.lead.gauge));
    else
        say_words(item, "section", "%s", size);
    bool carries = in_the_path(item->item);
    if (carries && isnan(in->around.at_a)) {
        struct measure none = measure_unknown("neither the label nor the board states a current at which the case is warm");
        say_measure(item, QUANTITY_CURRENT, &none, "current allowed in the closed case");
    } else if (seen.long_known && carries) {
        if (!isnan(in->rated->continuous_a))
            say_at(in, &seen, in->rated->continuous_a, "continuous", item);
        if (!isnan(in->rated->peak_a) && in->rated->peak_a > in->rated->continuous_a)
            say_peak(in, &seen, item);
        say_allowed(in, &seen, item);
    } else if (carries) {
        struct measure none = measure_unknown("its length is not known, and its ends rule how warm it gets");
        say_measure(item, QUANTITY_CURRENT, &none, "current allowed in the closed case");
    }
    say_tables(in, &seen, item);
    if (seen.long_known && carries && !isnan(in->around.at_a))
        say_assumed(in, &seen, item);
    return STATUS_OK;
}
