/* The label against itself. */
#include "claims/label.h"

/* Lithium iron phosphate packs and cells, bounds of what exists: from memory. */
static const double wh_per_kg_hi = 190, wh_per_litre_hi = 400;
static const double cell_charge_v = 3.65, cell_charge_least_v = 3.40;
static const double cell_nominal_v = 3.2;
static const double rate_hi = 5; /* multiples of I_t a drop-in pack can be expected to carry on */

static double stated(const struct label *label, enum claim_kind kind)
{
    const struct claim *claim = label_claim(label, kind);
    return claim != NULL ? claim->stated : NAN;
}

bool label_contradicts_itself(const struct label *label, char *words, size_t size)
{
    double product = label->nominal_v * label->rated_ah, off = label->rated_wh / product - 1;
    if (!(fabs(off) > 0.01)) /* or one of the three is not stated */
        return false;
    snprintf(words, size, "The label contradicts itself: %.4g V × %.4g Ah is %.4g Wh, stated are %.4g Wh (%+.1f %%).",
             label->nominal_v, label->rated_ah, product, label->rated_wh, 100 * off);
    return true;
}

static void check_product(const struct label *label, struct notices *notices)
{
    char words[200];
    if (label_contradicts_itself(label, words, sizeof words))
        notices_add(notices, "label", 0, "%s", words);
}

bool label_cells_and_volts_part(const struct label *label, char *words, size_t size)
{
    double nominal = label->cells * cell_nominal_v;
    if (!label->lithium_iron_phosphate || label->cells <= 0 || !(label->nominal_v > 0) ||
        fabs(label->nominal_v / nominal - 1) <= 0.05)
        return false;
    snprintf(words, size, "%d cells in series give %.4g V nominal, stated are %.4g V.", label->cells, nominal, label->nominal_v);
    return true;
}

static void check_cells(const struct label *label, struct notices *notices)
{
    char words[200];
    if (!label->lithium_iron_phosphate || label->cells <= 0)
        return;
    if (label_cells_and_volts_part(label, words, sizeof words))
        notices_add(notices, "label", 0, "%s", words);
    double charge = stated(label, CLAIM_CHARGE_VOLTAGE) / label->cells;
    if (charge > cell_charge_v + 0.005)
        notices_add(notices, "label", 0,
                    "The stated charge voltage is %.3f V a cell; %.2f V is the usual limit of lithium iron phosphate.",
                    charge, cell_charge_v);
    else if (charge < cell_charge_least_v)
        notices_add(notices, "label", 0, "The stated charge voltage is %.3f V a cell, too low to fill it.", charge);
}

static void check_rates(const struct label *label, struct notices *notices)
{
    double continuous = label->continuous_a / label->rated_ah, charge = stated(label, CLAIM_CHARGE_CURRENT) / label->rated_ah;
    if (continuous > rate_hi)
        notices_add(notices, "label", 0, "The continuous current is %.1f times I_t: much for a drop-in battery.", continuous);
    if (charge > 2)
        notices_add(notices, "label", 0, "The charge current is %.1f times I_t: much for a drop-in battery.", charge);
    if (label->peak_a < label->continuous_a)
        notices_add(notices, "label", 0, "The peak current is below the continuous current.");
}

static void check_densities(const struct label *label, struct notices *notices)
{
    double wh = !isnan(label->rated_wh) ? label->rated_wh : label->nominal_v * label->rated_ah;
    double per_kg = wh / stated(label, CLAIM_MASS);
    double litres = 1000 * stated(label, CLAIM_LENGTH) * stated(label, CLAIM_WIDTH) * stated(label, CLAIM_HEIGHT);
    if (per_kg > wh_per_kg_hi)
        notices_add(notices, "label", 0, "%.0f Wh/kg is more than a lithium iron phosphate pack can hold (about %.0f).",
                    per_kg, wh_per_kg_hi);
    if (wh / litres > wh_per_litre_hi)
        notices_add(notices, "label", 0, "%.0f Wh/L is more than a lithium iron phosphate pack can hold (about %.0f).",
                    wh / litres, wh_per_litre_hi);
}

/* A note that answers no claim helps nobody: its name is probably not that of the claim. */
static void check_notes(const struct label *label, struct notices *notices)
{
    for (size_t k = 0; k < label->noted_count; k++) {
        bool used = false;
        for (size_t j = 0; j < label->claim_count; j++)
            used |= strcmp(label->noted[k].slug, label->claims[j].slug) == 0;
        if (!used)
            notices_add(notices, "label", label->noted[k].line,
                        "Line %ld of the label notes '%s', which answers no claim: write it with the claim's own name.",
                        label->noted[k].line, label->noted[k].slug);
    }
}

void label_check(const struct label *label, struct notices *notices)
{
    check_product(label, notices);
    check_cells(label, notices);
    check_rates(label, notices);
    check_densities(label, notices);
    check_notes(label, notices);
}
