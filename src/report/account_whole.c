/* The account of what is said over all parts: what does not go together, and what was not tested. */
#include "report/account.h"

#include "claims/untested.h"

void account_contradictions(const struct assessment *assessment, struct listing *rows)
{
    for (size_t k = 0; k < assessment->contradiction_count; k++) {
        const struct contradiction *c = &assessment->contradictions[k];
        const struct opened_item *item = opened_named(&assessment->opened, c->item);
        bool claimed = c->claim < assessment->decision_count;
        listing_add(rows, "%s%s%s", claimed ? assessment->decisions[c->claim].claim->name : item == NULL ? "The whole" : "",
                    claimed && item != NULL ? ", " : "", item != NULL ? item->title : "");
        listing_add(rows, "%s", c->words);
    }
}

void account_untested(const struct assessment *assessment, struct listing *rows)
{
    const char *parts[UNTESTED_PARTS];
    size_t count = untested_parts(assessment, parts);
    struct text words = TEXT_EMPTY;
    for (size_t k = 0; k < count; k++)
        text_addf(&words, "%s%s", k > 0 ? ", " : "", parts[k]);
    if (count > 0) {
        listing_add(rows, "Parts");
        listing_add(rows, "Nobody looked at %s.", words.s);
    }
    text_free(&words);
    for (size_t k = 0; k < assessment->decision_count; k++) {
        const struct decision *d = &assessment->decisions[k];
        if (d->verdict != VERDICT_NOT_TESTED && d->verdict != VERDICT_NOT_EXERCISED)
            continue;
        listing_add(rows, "%s", d->claim->name);
        listing_add(rows, "%s: %s", verdict_name(d->verdict), d->reason);
    }
}
