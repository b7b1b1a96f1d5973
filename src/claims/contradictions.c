#include "claims/contradictions.h"

#include "base/memory.h"
#include "claims/claim_names.h"
#include "numeric/agreement.h"
#include "numeric/budget.h"

#include <limits.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

static const char iron_phosphate = 'B'; /* see teardown/cell_code.h */
static const double covers = 1.96;     /* standard uncertainties, 95 % of a normal distribution */

__attribute__((format(printf, 4, 5)))
static void add(struct assessment *a, size_t claim, const char *item, const char *words, ...)
{
    a->contradictions = memory_resize(a->contradictions, a->contradiction_count + 1, sizeof *a->contradictions);
    struct contradiction *added = &a->contradictions[a->contradiction_count++];
    *added = (struct contradiction){.claim = claim};
    snprintf(added->item, sizeof added->item, "%s", item);
    va_list args;
    va_start(args, words);
    vsnprintf(added->words, sizeof added->words, words, args);
    va_end(args);
}

/* The slug of the first item of that kind; "" none. */
static const char *slug_of_kind(const struct assessment *a, enum opened_kind kind)
{
    for (size_t k = 0; k < a->opened.count; k++)
        if (a->opened.items[k].kind == kind)
            return a->opened.items[k].slug;
    return "";
}

static size_t decision_on(const struct assessment *a, enum claim_kind kind)
{
    for (size_t k = 0; k < a->decision_count; k++)
        if (a->decisions[k].claim->kind == kind)
            return k;
    return SIZE_MAX;
}

/* A statement in words has no kind of its own: it is the one that has these words. */
static size_t decision_with(const struct assessment *a, const char *words)
{
    for (size_t k = 0; k < a->decision_count; k++) {
        const struct claim *claim = a->decisions[k].claim;
        if (claim->kind == CLAIM_YES_NO && (strcasestr(claim->name, words) != NULL || strcasestr(claim->as_stated, words) != NULL))
            return k;
    }
    return SIZE_MAX;
}

static size_t decision_of_part(const struct assessment *a, enum rated_part part)
{
    static const enum claim_kind kinds[] = {
        [RATED_CONTINUOUS] = CLAIM_CONTINUOUS_CURRENT, [RATED_PEAK] = CLAIM_PEAK_CURRENT, [RATED_CHARGE] = CLAIM_CHARGE_CURRENT,
        [RATED_CAPACITY] = CLAIM_CAPACITY,             [RATED_CELLS] = CLAIM_CELLS,
    };
    if (part == RATED_INGRESS)
        return decision_with(a, "IP");
    return part == RATED_GROUP ? decision_with(a, "group") : decision_on(a, kinds[part]);
}

static void against_the_label(struct assessment *a, enum rated_part from, enum rated_part to)
{
    for (enum rated_part part = from; part <= to; part++) {
        for (size_t k = 0; k < a->inspection.count; k++) {
            const struct inspected *item = &a->inspection.items[k];
            for (size_t p = 0; p < item->part_count; p++)
                if (item->parts[p].part == part)
                    add(a, decision_of_part(a, part), item->item->slug, "The label says %.*s", (int)item->parts[p].length,
                        item->against + item->parts[p].begin);
        }
    }
}

static void met_by_one_not_full(struct assessment *a)
{
    size_t capacity = decision_on(a, CLAIM_CAPACITY), energy = decision_on(a, CLAIM_ENERGY), first = SIZE_MAX;
    bool met[2];
    for (int e = 0; e < 2; e++) {
        size_t k = e == 0 ? capacity : energy;
        const struct decision *d = k != SIZE_MAX ? &a->decisions[k] : NULL;
        met[e] = d != NULL && d->verdict == VERDICT_MET && d->record < a->record_count &&
                 !(a->records[d->record].findings.full_before > 0);
        first = met[e] && first == SIZE_MAX ? k : first;
    }
    if (first == SIZE_MAX)
        return;
    const struct findings *f = &a->records[a->decisions[first].record].findings;
    add(a, first, "", "%s met by a sample that %s when the test began: what it holds is that much or more.",
        met[0] && met[1] ? "Capacity and energy are" : met[0] ? "Capacity is" : "Energy is",
        f->full_before == 0 ? "was not full" : "was not shown to be full");
}

/* Both were found: that it carried the current once, and a part that is not made for it. */
static void carried_beyond_its_parts(struct assessment *a)
{
    size_t k = decision_on(a, CLAIM_CONTINUOUS_CURRENT);
    if (k == SIZE_MAX || a->decisions[k].verdict != VERDICT_MET || a->inspection.weakest >= a->inspection.count)
        return;
    const struct inspected *item = &a->inspection.items[a->inspection.weakest];
    const struct claim *claim = a->decisions[k].claim;
    bool marked = item->item->kind == OPENED_BOARD || item->item->kind == OPENED_FUSE;
    if (item->limit_a + covers * item->limit_u_a < claim->stated)
        add(a, k, item->item->slug,
            "It carried the claimed %g A in the test, and the %s %s %.3g A: what one test got through is not shown to last.",
            claim->stated, item->item->title, marked ? "is marked for" : "by a heat balance allows", item->limit_a);
}

/* By what the codes on its cells stand for; one that does not read says nothing. */
static void chemistry(struct assessment *a)
{
    size_t others = 0;
    char other = 0;
    for (size_t k = 0; k < a->inspection.code_count; k++) {
        const struct cell_code *code = &a->inspection.codes[k];
        if (code->whole && code->chemistry != iron_phosphate)
            others++, other = code->chemistry;
    }
    if (others == 0 || !a->label.lithium_iron_phosphate)
        return;
    char many[48] = "the code on one of its cells stands";
    if (others > 1)
        snprintf(many, sizeof many, "the codes on %zu of its cells stand", others);
    add(a, SIZE_MAX, slug_of_kind(a, OPENED_CELLS),
        "The label says lithium iron phosphate: %s for another chemistry (%s), if read and printed right.", many,
        cell_code_chemistry(other));
}

/* A charge that no board stopped, though the label says that one does. */
static void charged_on(struct assessment *a)
{
    for (size_t k = 0; k < a->decision_count; k++) {
        const struct decision *d = &a->decisions[k];
        enum claim_kind kind = d->claim->kind;
        bool range = kind == CLAIM_CHARGE_TEMPERATURE_MIN || kind == CLAIM_CHARGE_TEMPERATURE_MAX;
        char name[80];
        if (d->verdict != VERDICT_NOT_EXERCISED || isnan(d->reached) || !(range || kind == CLAIM_YES_NO))
            continue;
        claim_name_within(d->claim->name, name, sizeof name);
        if (range)
            add(a, k, "", "The label says %s as %s: %s.", d->claim->as_stated, name, d->reason);
        else
            add(a, k, "", "The label says '%s': %s.", name, d->reason);
    }
}

static void tallies(struct assessment *a)
{
    for (size_t r = 0; r < a->record_count; r++) {
        const struct findings *f = &a->records[r].findings;
        for (int e = 0; e < 2; e++) {
            const struct tally_check *check = e == 0 ? &f->tally_ah : &f->tally_wh;
            if (check->present && check->e_n > 1)
                add(a, decision_on(a, e == 0 ? CLAIM_CAPACITY : CLAIM_ENERGY), "", "Two ways to the same amount part: %s.",
                    check->words);
        }
    }
}

static void efficiency(struct assessment *a)
{
    for (size_t r = 0; r < a->record_count; r++) {
        const struct measure *share = &a->records[r].findings.efficiency_charge;
        char shown[64];
        if (!measure_known(share) || !(budget_probability_below(share, 1) < 1 - a->decide))
            continue;
        measure_print_in(share, QUANTITY_RATIO, shown, sizeof shown);
        add(a, SIZE_MAX, "", "More charge came out than went in, %s of it, from one end of charge to the same again: a meter is off by "
            "more than is stated of it, or a charge is missing from the readings.", shown);
    }
}

static void twice(struct assessment *a, enum claim_kind kind, const struct measure *opened, const char *what)
{
    size_t k = decision_on(a, kind);
    char one[64], other[64];
    if (k == SIZE_MAX || !measure_known(opened) || !measure_known(&a->decisions[k].measured) ||
        !(fabs(agreement_of(&a->decisions[k].measured, opened)) > 1))
        return;
    enum quantity quantity = a->decisions[k].claim->quantity;
    measure_print_in(&a->decisions[k].measured, quantity, one, sizeof one);
    measure_print_in(opened, quantity, other, sizeof other);
    add(a, k, slug_of_kind(a, OPENED_CASE), "Its %s was found as %s, and with the opened case as %s: one of them is wrong.", what, one, other);
}

static void made_after_the_test(struct assessment *a)
{
    const struct inspection *in = &a->inspection;
    for (size_t k = 0; in->year != 0 && k < in->code_count; k++) {
        int days = cell_code_age_days(&in->codes[k], in->year, in->month, in->day);
        if (days == INT_MIN || days >= 0 || !in->codes[k].whole)
            continue;
        add(a, SIZE_MAX, slug_of_kind(a, OPENED_CELLS),
            "The code %s dates a cell %d day%s after the test: the code or a date is read wrongly, or the wrapper is not the cell's own.",
            in->codes[k].code, -days, days == -1 ? "" : "s");
        return;
    }
}

void contradictions_find(struct assessment *assessment)
{
    static const struct { enum claim_kind kind; const char *what; } sides[] = {
        {CLAIM_LENGTH, "length"}, {CLAIM_WIDTH, "width"}, {CLAIM_HEIGHT, "height"}};
    char words[200];
    against_the_label(assessment, RATED_CONTINUOUS, RATED_CELLS);
    chemistry(assessment);
    charged_on(assessment);
    met_by_one_not_full(assessment);
    carried_beyond_its_parts(assessment);
    tallies(assessment);
    efficiency(assessment);
    if (assessment->has_opened) {
        twice(assessment, CLAIM_MASS, &assessment->inspection.mass_kg, "mass");
        for (int k = 0; k < 3; k++)
            twice(assessment, sides[k].kind, &assessment->inspection.sides_m[k], sides[k].what);
    }
    made_after_the_test(assessment);
    against_the_label(assessment, RATED_INGRESS, RATED_GROUP);
    if (label_contradicts_itself(&assessment->label, words, sizeof words))
        add(assessment, decision_on(assessment, CLAIM_ENERGY), "", "%s", words);
    if (!assessment->label.cells_inferred && label_cells_and_volts_part(&assessment->label, words, sizeof words))
        add(assessment, decision_on(assessment, CLAIM_CELLS), "", "The label contradicts itself: %s", words);
}
