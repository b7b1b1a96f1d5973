/* The page: the sheet's words and figures with everything behind them, for screen and print. */
#include "report/page.h"

#include "report/account.h"
#include "report/cautions.h"
#include "report/curve_data.h"
#include "report/figures.h"
#include "report/html.h"
#include "report/page_parts.h"
#include "report/page_style.h"
#include "report/signs.h"

#include "base/number.h"
#include "draw/paper.h"
#include "draw/svg.h"

#define WIDE 820.0
#define WIDE_CURVE 420.0
#define FIRST_PAGE 1.25 /* a ladder no higher than this many widths is made to fit the first page on paper */
#define NARROW 340.0
#define NARROW_CURVE 360.0
enum { CURVE_ROWS = 24, CURVES = 12, STEPS = 400 };

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

static bool any_discharge(const struct assessment *assessment)
{
    for (size_t k = 0; k < assessment->record_count; k++)
        if (assessment->records[k].findings.has_test)
            return true;
    return false;
}

/* All of them; the summary has the first. */
static void add_contradictions(struct text *html, const struct assessment *assessment)
{
    struct listing rows = listing_of(2);
    if (assessment->contradiction_count > 1)
        account_contradictions(assessment, &rows);
    if (listing_rows(&rows) > 0)
        text_add(html, "<h2 class=\"within\">What does not go together</h2>\n");
    html_pairs(html, &rows);
    listing_free(&rows);
}

static void add_header(struct text *html, const struct assessment *assessment, const struct publishing *publishing)
{
    struct text about = TEXT_EMPTY;
    account_about(assessment, &about);
    text_add(html, "<header>\n");
    html_element(html, "h1", account_title(assessment));
    html_element(html, "p class=\"soft\"", text_string(&about));
    if (assessment->invented)
        html_element(html, "p class=\"invented\"",
                     PAPER_STRONG "Invented data." PAPER_PLAIN " No such sample was ever tested.");
    html_element(html, "p class=\"lead\"", assessment->summary);
    add_contradictions(html, assessment);
    if (assessment->opinion != NULL) {
        text_add(html, "<h2 class=\"within\">In the tester's own words: an opinion</h2>\n");
        html_element(html, "blockquote", assessment->opinion);
    }
    text_add(html, "</header>\n<nav aria-label=\"On this page\"><ul>\n");
    if (assessment->decision_count > 0)
        text_add(html, "<li><a href=\"#the-claims\">Claims</a></li>\n");
    if (any_discharge(assessment))
        text_add(html, "<li><a href=\"#the-discharge\">Discharge</a></li>\n");
    if (assessment->inspection.count > 0)
        text_add(html, "<li><a href=\"#the-construction\">Construction</a></li>\n");
    if (assessment->decision_count > 0)
        text_add(html, "<li><a href=\"#each-claim\">Claim by claim</a></li>\n");
    text_add(html, "<li><a href=\"#the-evidence\">Evidence</a></li>\n<li><a href=\"#the-notices\">To know beside it</a></li>\n");
    if (!publishing->without[PUBLISH_RECOMPUTE])
        text_add(html, "<li><a href=\"#to-recompute\">To recompute</a></li>\n");
    text_add(html, "</ul></nav>\n<main>\n");
    text_free(&about);
}

/* One of the two forms of a figure; the style shows the one that suits the width. */
static void add_form(struct text *html, const struct figure *figure, const char *form, const char *prefix, size_t number)
{
    char id[48];
    snprintf(id, sizeof id, "%s-%s-%zu", prefix, form, number);
    text_addf(html, "<div class=\"%s\">\n", form);
    svg_add(figure, id, html);
    text_add(html, "</div>\n");
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
    add_form(html, &wide, "wide", "ladder", 0);
    add_form(html, &narrow, "narrow", "ladder", 0);
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

/* Some points of the curve, evenly along it. */
static void add_points(struct text *html, const struct record *record)
{
    static const char *const heads[] = {">Time", ">Ah", ">V", ">A"};
    struct curve_data data;
    struct listing rows = listing_of(4);
    if (!curve_data_make(record, &data))
        return;
    double from = data.x[0], step = (data.x[data.count - 1] - from) / CURVE_ROWS, next = from;
    for (size_t k = 0; k < data.count; k++) {
        bool last = k + 1 == data.count;
        if ((isnan(data.v[k]) && isnan(data.a[k])) || (!data.sparse && !last && data.x[k] < next))
            continue;
        char time[32];
        number_print_duration(data.t_s[k], time, sizeof time);
        listing_add(&rows, "%s", time);
        listing_add(&rows, data.along == CURVE_CHARGE ? "%.4g" : "–", data.x[k]);
        listing_add(&rows, isfinite(data.v[k]) ? "%.4g" : "–", data.v[k]);
        listing_add(&rows, isfinite(data.a[k]) ? "%.4g" : "–", data.a[k]);
        while (next <= data.x[k] && step > 0)
            next += step;
    }
    html_table(html, data.sparse ? "The readings of the curve" : "Some readings of the curve", heads, &rows);
    listing_free(&rows);
    curve_data_free(&data);
}

static void add_curve(struct text *html, const struct assessment *assessment, size_t record)
{
    struct figure wide, narrow;
    if (!curve_figure(assessment, record, WIDE, WIDE_CURVE, &wide))
        return;
    text_add(html, "<figure>\n");
    add_form(html, &wide, "wide", "curve", record);
    if (curve_figure(assessment, record, NARROW, NARROW_CURVE, &narrow)) {
        add_form(html, &narrow, "narrow", "curve", record);
        figure_free(&narrow);
    }
    text_add(html, "</figure>\n<details class=\"alt\"><summary>The same in numbers</summary>\n");
    add_points(html, &assessment->records[record]);
    text_add(html, "</details>\n");
    figure_free(&wide);
}

static void add_tables(struct text *html, const struct findings *f, bool with_conditions)
{
    static const char *const cut_offs[] = {"Down to", ">Ah", ">Wh", ">after"};
    static const char *const steps[] = {"At, from → to", ">first reading", ">after 1 s", ">after 10 s", ">after 30 s"};
    static const char *const pairs[] = {">At", "Currents", "Resistance"};
    static const char *const conditions[] = {"Condition", "Was", "Asked for", "What it means"};
    static const char *const runs[] = {"Run", ">from", ">to", ">Charge", ">Energy", ">Mean volts", "Ended by"};
    struct listing listings[] = {listing_of(4), listing_of(5), listing_of(3), listing_of(4), listing_of(7)};
    account_cut_offs(f, &listings[0]);
    size_t left_out = account_resistances(f, STEPS, &listings[1]);
    account_pulse_pairs(f, &listings[2]);
    account_conditions(f, &listings[3]);
    account_runs(f, &listings[4]);
    html_table(html, "Delivered down to several cut-off voltages", cut_offs, &listings[0]);
    if (with_conditions)
        html_table(html, "Conditions, beside what IEC 62620 and IEC 61960-3 ask of a capacity test", conditions, &listings[3]);
    html_table(html, "Direct-current resistance at the steps of the current, mΩ", steps, &listings[1]);
    if (left_out > 0)
        text_addf(html, "<p class=\"soft\">%zu smaller steps are in the JSON.</p>\n", left_out);
    html_table(html, "Resistance by pulse pairs", pairs, &listings[2]);
    html_table(html, "Runs of the record", runs, &listings[4]);
    for (int k = 0; k < 5; k++)
        listing_free(&listings[k]);
}

static void add_budget(struct text *html, const char *name, const struct measure *measure, const char *symbol)
{
    static const char *const heads[] = {">Share", ">Standard uncertainty", "What it comes from"};
    struct listing rows = listing_of(3);
    struct text words = TEXT_EMPTY;
    char caption[80];
    snprintf(caption, sizeof caption, "Uncertainty of the %s", name);
    account_budget(measure, symbol, false, &rows);
    if (measure_known(measure) && measure->count > 0)
        text_add(&words, PAPER_STRONG "Largest: " PAPER_PLAIN);
    account_largest(measure, &words);
    if (!measure_known(measure))
        text_addf(&words, "Of the %s: cannot tell: %s", name, measure->why);
    text_addf(html, "<details open><summary>%s</summary>\n", caption);
    html_table(html, caption, heads, &rows);
    html_element(html, "p", text_string(&words));
    text_add(html, "</details>\n");
    listing_free(&rows);
    text_free(&words);
}

static void add_record(struct text *html, const struct assessment *assessment, const struct publishing *publishing, size_t k,
                       bool figure)
{
    const struct record *record = &assessment->records[k];
    struct listing rows = listing_of(2);
    html_element(html, "h3", account_file(record->path));
    if (figure)
        add_curve(html, assessment, k);
    account_test(record, &rows);
    account_bursts(&record->findings, false, &rows);
    account_tallies(&record->findings, &rows);
    html_pairs(html, &rows);
    listing_free(&rows);
    add_tables(html, &record->findings, !publishing->without[PUBLISH_CONDITIONS]);
    if (!record->findings.has_test || publishing->without[PUBLISH_BUDGETS])
        return;
    add_budget(html, "charge", &record->findings.test_ah, "Ah");
    add_budget(html, "energy", &record->findings.test_wh, "Wh");
}

static void add_discharges(struct text *html, const struct assessment *assessment, const struct publishing *publishing)
{
    const struct record *main = assessment_main(assessment);
    if (!any_discharge(assessment))
        return;
    size_t first = main != NULL ? (size_t)(main - assessment->records) : 0;
    text_add(html, "<section id=\"the-discharge\" aria-labelledby=\"discharge-head\">\n"
                   "<h2 id=\"discharge-head\">Discharge</h2>\n");
    for (size_t k = 0; k < assessment->record_count; k++) {
        size_t record = k == 0 ? first : k <= first ? k - 1 : k;
        if (publishing_shows(publishing, record) && assessment->records[record].findings.has_test)
            add_record(html, assessment, publishing, record, k < CURVES);
    }
    if (assessment->record_count > CURVES)
        text_addf(html, "<p class=\"soft\">Curves are drawn of the first %d records.</p>\n", CURVES);
    if (assessment->record_count > 1)
        html_element(html, "p", assessment->peukert.words);
    text_add(html, "</section>\n");
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
    text_add(html, "<section id=\"the-notices\" aria-labelledby=\"notices-head\">\n"
                   "<h2 id=\"notices-head\">To know beside it</h2>\n"
                   "<p>One sample is one sample: another unit of the kind may differ. ");
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
    text_add(html, "<section id=\"to-recompute\" aria-labelledby=\"recompute-head\">\n"
                   "<h2 id=\"recompute-head\">To recompute</h2>\n<p>With Rundown " RUNDOWN_VERSION
                   " and the files named:</p>\n<pre><code>");
    html_words(html, assessment->command != NULL ? assessment->command : "");
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

void page_html(const struct assessment *assessment, const struct publishing *publishing, struct text *html)
{
    size_t at = html->length;
    add_start(html, assessment);
    add_header(html, assessment, publishing);
    if (assessment->decision_count > 0) {
        page_section(html, "claims", "Claims");
        add_ladder(html, assessment);
        text_add(html, "</section>\n");
    }
    add_discharges(html, assessment, publishing);
    if (assessment->decision_count > 0) {
        text_add(html, "<section id=\"each-claim\" aria-labelledby=\"each-head\">\n<h2 id=\"each-head\">Claim by claim</h2>\n");
        page_claims(assessment, publishing, html);
        text_add(html, "</section>\n");
    }
    page_charges(assessment, publishing, html);
    page_protections(assessment, publishing, html);
    page_construction(assessment, publishing, html);
    page_untested(assessment, html);
    page_section(html, "evidence", "Evidence");
    page_evidence(assessment, html);
    text_add(html, "</section>\n");
    add_notices(html, assessment, publishing);
    if (!publishing->without[PUBLISH_RECOMPUTE])
        add_recompute(html, assessment);
    add_end(html, assessment);
    struct signs signs = signs_of(assessment, publishing->comma);
    signs_set_html(&signs, html->s + at);
    signs_free(&signs);
}
