/* What the tests of the page's sample showed, part by part, record by record. */
#include "report/page_parts.h"

#include "base/memory.h"
#include "base/number.h"
#include "draw/paper.h"
#include "draw/svg.h"
#include "report/account.h"
#include "report/curve_data.h"
#include "report/figures.h"
#include "report/html.h"

#define WIDE 820.0
#define WIDE_CURVE 420.0
#define NARROW 340.0
#define NARROW_CURVE 360.0
enum { CURVE_ROWS = 24, CURVES = 12, STEPS = 400 };

/* One of the two forms of a figure; the style shows the one that suits the width. */
void page_form(struct text *html, const struct figure *figure, const char *form, const char *prefix, size_t number)
{
    char id[48];
    snprintf(id, sizeof id, "%s-%s-%zu", prefix, form, number);
    text_addf(html, "<div class=\"%s\">\n", form);
    svg_add(figure, id, html);
    text_add(html, "</div>\n");
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
    page_form(html, &wide, "wide", "curve", record);
    if (curve_figure(assessment, record, NARROW, NARROW_CURVE, &narrow)) {
        page_form(html, &narrow, "narrow", "curve", record);
        figure_free(&narrow);
    }
    text_add(html, "</figure>\n<details class=\"alt\"><summary>The same in numbers</summary>\n");
    add_points(html, &assessment->records[record]);
    text_add(html, "</details>\n");
    figure_free(&wide);
}

static void add_pairs(struct text *html, const struct record *record, void (*account)(const struct record *, struct listing *))
{
    struct listing rows = listing_of(2);
    account(record, &rows);
    html_pairs(html, &rows);
    listing_free(&rows);
}

/* What a record is made of, in the part where it is at home. */
static void add_runs(struct text *html, const struct findings *f)
{
    static const char *const heads[] = {"Run", ">from", ">to", ">Charge", ">Energy", ">Mean volts", "Ended by"};
    struct listing rows = listing_of(7);
    account_runs(f, &rows);
    html_table(html, "Runs of the record", heads, &rows);
    listing_free(&rows);
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
    html_table(html, "Share by share, the largest first", heads, &rows);
    html_element(html, "p", text_string(&words));
    text_add(html, "</details>\n");
    listing_free(&rows);
    text_free(&words);
}

static void add_capacity(struct text *html, const struct record *record, const struct publishing *publishing)
{
    static const char *const heads[] = {"Down to", ">Ah", ">Wh", ">after"};
    struct listing pairs = listing_of(2), rows = listing_of(4);
    account_test(record, &pairs);
    if (record->findings.charging_count == 0) /* else they stand with the charges */
        account_rests(record, &pairs);
    account_tallies(&record->findings, &pairs);
    account_cut_offs(&record->findings, &rows);
    html_pairs(html, &pairs);
    html_table(html, "Delivered down to several cut-off voltages", heads, &rows);
    listing_free(&pairs);
    listing_free(&rows);
    add_runs(html, &record->findings);
    if (publishing->without[PUBLISH_BUDGETS])
        return;
    add_budget(html, "charge", &record->findings.test_ah, "Ah");
    add_budget(html, "energy", &record->findings.test_wh, "Wh");
}

static void add_current(struct text *html, const struct record *record)
{
    static const char *const steps[] = {"At, from → to", ">first reading", ">after 1 s", ">after 10 s", ">after 30 s"};
    static const char *const pairs[] = {">At", "Currents", "Resistance"};
    struct listing bursts = listing_of(2), at_steps = listing_of(5), at_pairs = listing_of(3);
    account_bursts(&record->findings, false, &bursts);
    account_holds(record, &bursts);
    size_t left_out = account_resistances(&record->findings, STEPS, &at_steps);
    account_pulse_pairs(&record->findings, &at_pairs);
    html_pairs(html, &bursts);
    html_table(html, "Direct-current resistance at the steps of the current, mΩ", steps, &at_steps);
    if (left_out > 0)
        text_addf(html, "<p class=\"soft\">%zu smaller steps are in the JSON.</p>\n", left_out);
    html_table(html, "Resistance by pulse pairs", pairs, &at_pairs);
    listing_free(&bursts);
    listing_free(&at_steps);
    listing_free(&at_pairs);
}

static void add_protections(struct text *html, const struct record *record)
{
    struct listing rows = listing_of(8);
    account_stops(record, &rows);
    html_table(html, "What the board stopped", account_stops_heads, &rows);
    listing_free(&rows);
    add_pairs(html, record, account_protections);
}

static void add_conditions(struct text *html, const struct findings *f)
{
    static const char *const heads[] = {"Condition", "Was", "Asked for", "What it means"};
    struct listing rows = listing_of(4);
    account_conditions(f, &rows);
    html_table(html, "Beside what IEC 62620 and IEC 61960-3 ask of a capacity test", heads, &rows);
    listing_free(&rows);
}

static void add_in_part(struct text *html, const struct assessment *assessment, const struct publishing *publishing,
                        enum report_part part, size_t k)
{
    const struct record *record = &assessment->records[k];
    bool home = part == part_home(assessment, k);
    switch (part) {
    case PART_CAPACITY: add_capacity(html, record, publishing); return;
    case PART_CURRENT: add_current(html, record); return;
    case PART_CHARGE: add_pairs(html, record, account_charges); break;
    case PART_PROTECTIONS: add_protections(html, record); break;
    case PART_CONDITIONS: add_conditions(html, &record->findings); return;
    default: add_pairs(html, record, account_test); break;
    }
    if (!home)
        return;
    text_add(html, part == PART_PROTECTIONS ? "<details><summary>The rest of this record</summary>\n" : "");
    if (part == PART_PROTECTIONS) { /* told nowhere else */
        add_pairs(html, record, account_charges);
        add_current(html, record);
    }
    add_runs(html, &record->findings);
    text_add(html, part == PART_PROTECTIONS ? "</details>\n" : "");
}

/* "Discharge, hut-pack.log.csv" */
static void add_record_head(struct text *html, const struct assessment *assessment, size_t record)
{
    char words[300];
    snprintf(words, sizeof words, "%s, %s", part_name_of(assessment, record), account_file(assessment->records[record].path));
    html_element(html, "h3", words);
}

void page_part(const struct assessment *assessment, const struct publishing *publishing, enum report_part part, struct text *html)
{
    static const char *const ids[PARTS] = {"capacity", "current", "charge", "protections", "conditions", "others"};
    size_t *records = memory_get((assessment->record_count + 1) * sizeof *records);
    size_t count = part == PART_CONDITIONS && publishing->without[PUBLISH_CONDITIONS]
                       ? 0
                       : part_records(assessment, publishing, part, records);
    if (count > 0)
        page_section(html, ids[part], part_headings[part]);
    for (size_t k = 0; k < count; k++) {
        add_record_head(html, assessment, records[k]);
        if (part == PART_CAPACITY && k < CURVES)
            add_curve(html, assessment, records[k]);
        add_in_part(html, assessment, publishing, part, records[k]);
    }
    if (part == PART_CAPACITY && count > CURVES)
        text_addf(html, "<p class=\"soft\">Curves are drawn of the first %d records.</p>\n", CURVES);
    if (part == PART_CAPACITY && count > 1)
        html_element(html, "p", assessment->peukert.words);
    text_add(html, count > 0 ? "</section>\n" : "");
    free(records);
}
