/* The page: the sheet's words and figures with everything behind them, for screen and print. */
#include "report/page.h"

#include "report/account.h"
#include "report/cautions.h"
#include "report/figures.h"
#include "report/html.h"
#include "report/page_parts.h"
#include "report/page_style.h"
#include "report/signs.h"

#include "draw/paper.h"
#include "draw/svg.h"

#define WIDE 820.0
#define FIRST_PAGE 1.25 /* a ladder no higher than this many widths is made to fit the first page on paper */
#define NARROW 340.0

static void add_start(struct text *html, const struct assessment *assessment)
{
    text_add(html,
             "<!DOCTYPE html>\n<html lang=\"en-GB\">\n<head>\n<meta charset=\"utf-8\">\n"
             "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'; img-src data:; "
             "base-uri 'none'; form-action 'none'\">\n"
             "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
             "<meta name=\"generator\" content=\"Rundown " RUNDOWN_VERSION "\">\n<title>");
    html_words(html, account_title(assessment));
    text_add(html, assessment->invented ? ": claims and findings (invented data)</title>\n<style>\n"
                                        : ": claims and findings</title>\n<style>\n");
    svg_add_style(html);
    text_add(html, page_style);
    text_add(html, "</style>\n</head>\n<body>\n");
}

/* What does not go together stands first, each bound to the claim and the item that it is about. */
static void add_contradictions(struct text *html, const struct assessment *assessment)
{
    struct listing rows = listing_of(2);
    account_contradictions(assessment, &rows);
    if (listing_rows(&rows) > 0)
        text_add(html, "<h2 class=\"within\">What does not go together</h2>\n");
    html_pairs(html, &rows);
    listing_free(&rows);
}

static void add_header(struct text *html, const struct assessment *assessment)
{
    struct text about = TEXT_EMPTY;
    account_about(assessment, &about);
    text_add(html, "<header>\n");
    html_element(html, "h1", account_title(assessment));
    html_element(html, "p class=\"soft\"", text_string(&about));
    if (assessment->invented)
        html_element(html, "p class=\"invented\"",
                     PAPER_STRONG "Invented data." PAPER_PLAIN " No such sample was ever tested.");
    add_contradictions(html, assessment);
    html_element(html, "p class=\"lead\"", part_summary(assessment));
    if (assessment->opinion != NULL) {
        text_add(html, "<h2 class=\"within\">In the tester's own words: an opinion</h2>\n");
        html_element(html, "blockquote", assessment->opinion);
    }
    text_add(html, "</header>\n");
    text_free(&about);
}

/* A link to each section that there is, in their order. */
static void add_nav(struct text *html, const char *sections)
{
    text_add(html, "<nav aria-label=\"On this page\"><ul>\n");
    for (const char *p = sections; (p = strstr(p, "<section id=\"")) != NULL;) {
        const char *id = strchr(p, '"') + 1, *heading = strstr(p, "<h2");
        heading = strchr(heading, '>') + 1;
        text_addf(html, "<li><a href=\"#%.*s\">%.*s</a></li>\n", (int)strcspn(id, "\""), id, (int)strcspn(heading, "<"), heading);
        p = heading;
    }
    text_add(html, "</ul></nav>\n<main>\n");
}

static void add_ladder(struct text *html, const struct assessment *assessment)
{
    static const char *const heads[] = {"Claim", "Stated", "Where", ">Found", "Probability", "Verdict", "Why"};
    struct figure wide, narrow;
    struct listing rows = listing_of(7);
    ladder_figure(assessment, WIDE, &wide);
    ladder_figure(assessment, NARROW, &narrow);
    account_claims(assessment, &rows);
    text_add(html, wide.height < FIRST_PAGE * WIDE ? "<figure class=\"first\">\n" : "<figure>\n");
    page_form(html, &wide, "wide", "ladder", 0);
    page_form(html, &narrow, "narrow", "ladder", 0);
    text_add(html, "<figcaption>The upright line is what was claimed; right of it is better for the buyer. A bar is the "
                   "95 % interval of what was measured, its dot the value. Dashed: the test got so far and did not reach the "
                   "claim. Dotted: nothing was done about it.</figcaption>\n</figure>\n"
                   "<details class=\"alt\"><summary>The same in numbers</summary>\n");
    html_table(html, "Claims and verdicts", heads, &rows);
    text_add(html, "</details>\n");
    listing_free(&rows);
    figure_free(&wide);
    figure_free(&narrow);
}

static void add_cautions(struct text *html)
{
    text_add(html, "<h3>Cautions</h3>\n<ul class=\"cautions\">\n");
    for (size_t k = 0; cautions[k] != NULL; k++)
        html_element(html, "li", cautions[k]);
    text_add(html, "</ul>\n");
}

static void add_notices(struct text *html, const struct assessment *assessment, const struct publishing *publishing)
{
    struct listing rows = listing_of(2);
    struct text left_out = TEXT_EMPTY;
    if (!publishing->without[PUBLISH_NOTICES])
        account_notices(assessment, &rows);
    publishing_left_out(publishing, assessment, &left_out);
    page_section(html, "notices", "To know beside it");
    text_add(html, "<p>One sample is one sample: another unit of the kind may differ. ");
    text_addf(html,
              "A claim is decided at a probability of conformity of %.4g on either side (JCGM 106); what stands after ± is "
              "half of a 95 %% interval (JCGM 101).</p>\n",
              assessment->decide);
    html_element(html, "p class=\"left-out\"", text_string(&left_out));
    html_pairs(html, &rows);
    listing_free(&rows);
    text_free(&left_out);
    if (assessment->label.question_count > 0)
        text_add(html, "<h3>To be rechecked</h3>\n<ul>\n");
    for (size_t k = 0; k < assessment->label.question_count; k++)
        html_element(html, "li", assessment->label.questions[k]);
    text_add(html, assessment->label.question_count > 0 ? "</ul>\n" : "");
    if (!publishing->without[PUBLISH_CAUTIONS])
        add_cautions(html);
    text_add(html, "</section>\n");
}

static void add_recompute(struct text *html, const struct assessment *assessment)
{
    page_section(html, "recompute", "To recompute");
    text_add(html, "<p>With Rundown " RUNDOWN_VERSION
                   " and the files named:</p>\n<pre><code>");
    html_verbatim(html, assessment->command != NULL ? assessment->command : "");
    text_add(html, "</code></pre>\n</section>\n");
}

static void add_end(struct text *html, const struct assessment *assessment)
{
    text_add(html, "</main>\n<footer>\n<p>");
    html_words(html, account_title(assessment));
    text_add(html, assessment->invented ? " · <strong>Invented data</strong>" : "");
    text_add(html, " · One sample is one sample · Rundown " RUNDOWN_VERSION
                   " · This page needs neither script nor network.</p>\n</footer>\n</body>\n</html>\n");
}

/* Each section only where there is something to say. */
static void add_sections(struct text *html, const struct assessment *assessment, const struct publishing *publishing)
{
    if (assessment->decision_count > 0) {
        page_section(html, "claims", "Claims");
        add_ladder(html, assessment);
        text_add(html, "</section>\n");
    }
    for (enum report_part part = PART_CAPACITY; part < PARTS; part++) {
        if (part == PART_CONDITIONS)
            page_construction(assessment, publishing, html);
        page_part(assessment, publishing, part, html);
    }
    page_untested(assessment, html);
    if (assessment->decision_count > 0) {
        page_section(html, "each", "Claim by claim");
        page_claims(assessment, publishing, html);
        text_add(html, "</section>\n");
    }
    page_section(html, "evidence", "Evidence");
    page_evidence(assessment, html);
    text_add(html, "</section>\n");
    add_notices(html, assessment, publishing);
    if (!publishing->without[PUBLISH_RECOMPUTE])
        add_recompute(html, assessment);
}

void page_html(const struct assessment *assessment, const struct publishing *publishing, struct text *html)
{
    size_t at = html->length;
    struct text sections = TEXT_EMPTY;
    add_start(html, assessment);
    add_header(html, assessment);
    add_sections(&sections, assessment, publishing);
    add_nav(html, text_string(&sections));
    text_add(html, text_string(&sections));
    add_end(html, assessment);
    text_free(&sections);
    struct signs signs = signs_of(assessment, publishing->comma);
    signs_set_html(&signs, html->s + at);
    signs_free(&signs);
}
