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

/* What was asked, how far it got, and what would decide it. */
static void add_not_exercised(const struct decision *d, struct listing *rows)
{
    const char *next = d->would_decide;
    listing_add(rows, "%s", d->claim->name);
    listing_add(rows, "%s: %s, %s%s%s.", d->claim->as_stated, verdict_name(d->verdict), d->reason,
                next[0] != '\0' ? ". To decide it: " : "", next);
}

/* In one row: each with its reason. */
static void add_not_tested(const struct assessment *assessment, struct listing *rows)
{
    struct text words = TEXT_EMPTY;
    for (size_t k = 0; k < assessment->decision_count; k++) {
        const struct decision *d = &assessment->decisions[k];
        if (d->verdict == VERDICT_NOT_TESTED)
            text_addf(&words, "%s%s, %s%s%s%s", words.length > 0 ? "; " : "", d->claim->name, d->claim->as_stated,
                      d->reason[0] != '\0' ? " (" : "", d->reason, d->reason[0] != '\0' ? ")" : "");
    }
    if (words.length > 0) {
        listing_add(rows, "Not tested");
        listing_add(rows, "%s.", words.s);
    }
    text_free(&words);
}

static void add_besides(const struct assessment *assessment, struct listing *rows)
{
    struct text words = TEXT_EMPTY;
    untested_say(assessment, &words);
    listing_add(rows, "Besides");
    listing_add(rows, "%sA short circuit is not among the tests: it can set a sample on fire, and what a board survives once "
                      "says nothing of the next time.", text_string(&words));
    text_free(&words);
}

void account_untested(const struct assessment *assessment, struct listing *rows)
{
    for (size_t k = 0; k < assessment->decision_count; k++)
        if (assessment->decisions[k].verdict == VERDICT_NOT_EXERCISED)
            add_not_exercised(&assessment->decisions[k], rows);
    add_not_tested(assessment, rows);
    if (assessment->record_count > 0 || assessment->has_opened)
        add_besides(assessment, rows);
}
