#include "claims/contradictions.h"

#include "base/memory.h"
#include "claims/claim_names.h"

#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

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
    if (k == SIZE_MAX || a->decisions[k].verdict != VERDICT_MET || a->inspection.weakest >= a->inspection.count ||
        !(a->inspection.weakest_a < a->decisions[k].claim->stated))
        return;
    const struct inspected *item = &a->inspection.items[a->inspection.weakest];
    add(a, k, item->item->slug,
        "It carried the claimed %g A in the test, and the %s allows %.3g A: what one test got through is not shown to last.",
        a->decisions[k].claim->stated, item->item->title, a->inspection.weakest_a);
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

void contradictions_find(struct assessment *assessment)
{
    char words[200];
    against_the_label(assessment, RATED_CONTINUOUS, RATED_CELLS);
    met_by_one_not_full(assessment);
    carried_beyond_its_parts(assessment);
    tallies(assessment);
    against_the_label(assessment, RATED_INGRESS, RATED_GROUP);
    if (label_contradicts_itself(&assessment->label, words, sizeof words))
        add(assessment, decision_on(assessment, CLAIM_ENERGY), "", "%s", words);
}
