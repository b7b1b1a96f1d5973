/* What the opened sample answers of claims that nothing else did: cells that were counted, mass and sides of the case. */
#include "claims/rules.h"

#include "numeric/budget.h"

static struct measure seen_of(const struct inspection *inspection, enum claim_kind kind)
{
    struct measure counted = measure_of(inspection->series);
    budget_close(&counted);
    switch (kind) {
    case CLAIM_CELLS: return inspection->series > 0 ? counted : measure_unknown("the cells were not counted");
    case CLAIM_MASS: return inspection->mass_kg;
    case CLAIM_LENGTH: return inspection->sides_m[0];
    case CLAIM_WIDTH: return inspection->sides_m[1];
    case CLAIM_HEIGHT: return inspection->sides_m[2];
    default: return measure_unknown("not seen in an opened case");
    }
}

static void count_cells(const struct inspection *inspection, const struct claim *claim, struct decision *decision)
{
    bool alike = inspection->series == claim->stated;
    decision->verdict = alike ? VERDICT_MET : VERDICT_NOT_MET;
    snprintf(decision->found, sizeof decision->found, "%d", inspection->series);
    snprintf(decision->reason, sizeof decision->reason, "counted in the opened case");
}

void decide_opened(const struct inspection *inspection, const struct label *label, double decide, struct decision *decisions)
{
    struct evidence evidence = {.label = label, .decide = decide};
    for (size_t k = 0; k < label->claim_count; k++) {
        const struct claim *claim = &label->claims[k];
        struct measure seen = seen_of(inspection, claim->kind);
        if (decisions[k].verdict != VERDICT_NOT_TESTED || !measure_known(&seen) || isnan(claim->stated))
            continue;
        decisions[k].measured = seen;
        if (claim->kind == CLAIM_CELLS)
            count_cells(inspection, claim, &decisions[k]);
        else
            rule_measured(&evidence, claim, &seen, "noted with the opened case", &decisions[k]);
    }
}
