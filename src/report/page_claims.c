#include "report/account.h"
#include "report/html.h"
#include "report/page_parts.h"

#include "base/number.h"
#include "draw/paper.h"

#include <stdint.h>

static const char *const verdict_classes[] = {"met", "not-met", "too-close", "not-exercised", "not-tested"};

/* A slug is an anchor; where two claims have the same words the later ones are counted. */
static void add_anchor(struct text *html, const struct assessment *assessment, size_t claim)
{
    size_t same = 0;
    for (size_t k = 0; k < claim; k++)
        same += strcmp(assessment->decisions[k].claim->slug, assessment->decisions[claim].claim->slug) == 0;
    html_words(html, assessment->decisions[claim].claim->slug);
    if (same > 0)
        text_addf(html, "-%zu", same + 1);
}

static void add(struct listing *rows, const char *name, const char *words)
{
    if (words[0] == '\0')
        return;
    listing_add(rows, "%s", name);
    listing_add(rows, "%s", words);
}

static void print_interval(const struct decision *d, char *buffer, size_t size)
{
    double factor, u = 0.5 * (d->measured.hi - d->measured.lo);
    const char *symbol = quantity_shown(d->claim->quantity, &factor);
    char lo[32], hi[32];
    buffer[0] = '\0';
    if (!measure_known(&d->measured) || !(u > 0))
        return;
    number_print(factor * d->measured.lo, factor * u, lo, sizeof lo);
    number_print(factor * d->measured.hi, factor * u, hi, sizeof hi);
    snprintf(buffer, size, "%s to %s%s%s", lo, hi, symbol[0] != '\0' ? " " : "", symbol);
}

static void add_facts(struct text *html, const struct assessment *assessment, const struct decision *d)
{
    struct listing rows = listing_of(2);
    char words[200];
    bool decided = d->verdict != VERDICT_NOT_EXERCISED && d->verdict != VERDICT_NOT_TESTED;
    snprintf(words, sizeof words, "%s%s%s", d->claim->as_stated, d->claim->where[0] != '\0' ? " · " : "", d->claim->where);
    add(&rows, "Claimed", words);
    add(&rows, "Found", d->found);
    print_interval(d, words, sizeof words);
    add(&rows, "95 % interval", words);
    snprintf(words, sizeof words, "%s%.4f that the claim holds; %.4g decides",
             d->probability > 0.9999   ? "more than "
             : d->probability < 0.0001 ? "less than "
                                       : "",
             fmin(fmax(d->probability, 0.0001), 0.9999), assessment->decide);
    add(&rows, "Probability", decided && isfinite(d->probability) ? words : "");
    add(&rows, "Why", d->reason);
    for (size_t k = 0; k < assessment->contradiction_count; k++)
        add(&rows, "Does not go together", assessment->contradictions[k].claim < assessment->decision_count &&
                                                   &assessment->decisions[assessment->contradictions[k].claim] == d
                                               ? assessment->contradictions[k].words
                                               : "");
    add(&rows, "Would decide it", d->would_decide);
    add(&rows, "Rests on", d->record < assessment->record_count ? account_file(assessment->records[d->record].path) : "");
    html_pairs(html, &rows);
    listing_free(&rows);
}

static void add_budget(struct text *html, const struct decision *d)
{
    static const char *const heads[] = {">Share", ">Standard uncertainty", "What it comes from"};
    double factor;
    const char *symbol = quantity_shown(d->claim->quantity, &factor);
    struct listing rows = listing_of(3);
    struct measure shown = d->measured;
    for (int k = 0; k < shown.count; k++)
        shown.parts[k].u *= factor;
    shown.u *= factor;
    if (measure_known(&d->measured))
        account_budget(&shown, symbol, true, &rows);
    if (listing_rows(&rows) > 0) {
        struct text largest = TEXT_EMPTY;
        text_add(&largest, PAPER_STRONG "Largest: " PAPER_PLAIN);
        account_largest(&d->measured, &largest);
        text_add(html, "<details><summary>What the uncertainty is made of</summary>\n");
        html_table(html, "Uncertainty budget", heads, &rows);
        html_element(html, "p class=\"soft\"", largest.s);
        text_add(html, "</details>\n");
        text_free(&largest);
    }
    listing_free(&rows);
}

void page_claims(const struct assessment *assessment, const struct publishing *publishing, struct text *html)
{
    text_add(html, "<div class=\"claims\">\n");
    for (size_t k = 0; k < assessment->decision_count; k++) {
        const struct decision *d = &assessment->decisions[k];
        text_add(html, "<article id=\"");
        add_anchor(html, assessment, k);
        text_add(html, "\">\n<h3><a href=\"#");
        add_anchor(html, assessment, k);
        text_add(html, "\">");
        html_words(html, d->claim->name);
        text_addf(html, "</a></h3>\n<p class=\"verdict %s\">%s</p>\n", verdict_classes[d->verdict], verdict_name(d->verdict));
        add_facts(html, assessment, d);
        if (!publishing->without[PUBLISH_BUDGETS])
            add_budget(html, d);
        text_add(html, "</article>\n");
    }
    text_add(html, "</div>\n");
}
