#include "report/explain.h"

#include "base/number.h"
#include "report/account.h"
#include "report/chain.h"
#include "report/lines.h"

/* Where the words go, and how wide. */
struct page {
    struct text *text;
    int width;
};

/* Value, interval and budget, in the unit that people write. */
static void print_measure(const struct page *page, const struct chain_link *link)
{
    const struct measure *m = &link->measure;
    if (!measure_known(m)) {
        text_addf(page->text, "%s: cannot tell: %s\n", link->title, m->why);
        return;
    }
    const char *symbol;
    struct measure shown = account_shown(m, link->quantity, &symbol);
    char value[64], lo[32], hi[32];
    measure_print(&shown, symbol, value, sizeof value);
    number_print(shown.lo, 0.5 * (shown.hi - shown.lo), lo, sizeof lo);
    number_print(shown.hi, 0.5 * (shown.hi - shown.lo), hi, sizeof hi);
    text_addf(page->text, "%s: %s (95 %% interval %s to %s)\n", link->title, value, lo, hi);
    if (shown.count == 0)
        return;
    text_add(page->text, "\nits uncertainty, by share of the variance\n");
    struct listing rows = listing_of(3);
    account_budget(&shown, symbol, false, &rows);
    lines_listing(&rows, page->width, page->text);
    listing_free(&rows);
    struct text largest = TEXT_EMPTY;
    account_largest(&shown, &largest);
    text_add(page->text, "the largest: ");
    lines_wrap(text_string(&largest), 13, page->width, page->text);
    text_free(&largest);
}

static void print_link(const struct page *page, const struct chain_link *link)
{
    text_add(page->text, link->apart ? "\n" : "");
    switch (link->kind) {
    case CHAIN_WORDS: lines_wrap(link->words, 0, page->width, page->text); break;
    case CHAIN_FACT:
        text_addf(page->text, "%s%s: ", link->inner ? "  " : "", link->title);
        if (link->inner)
            text_addf(page->text, "%s\n", link->words);
        else
            lines_wrap(link->words, (int)text_width(link->title) + 2, page->width, page->text);
        break;
    case CHAIN_MEASURE: print_measure(page, link); break;
    case CHAIN_TABLE:
        if (link->title[0] != '\0')
            text_addf(page->text, "%s\n", link->title);
        lines_listing(&link->rows, page->width, page->text);
        break;
    case CHAIN_READINGS: text_addf(page->text, "from %s: %s\n", link->title, link->words); break;
    }
}

enum status explain_finding(const struct assessment *assessment, const char *finding, int width, struct text *text,
                            struct message *message)
{
    struct page page = {text, width};
    struct finding_chain chain;
    enum status status = chain_make(assessment, finding, &chain, message);
    for (size_t k = 0; status == STATUS_OK && k < chain.count; k++)
        print_link(&page, &chain.links[k]);
    if (status == STATUS_OK)
        chain_free(&chain);
    return status;
}
