/* What the tests of the sheet's sample showed, part by part. */
#include "report/sheet_parts.h"

#include "base/memory.h"

#include "report/account.h"
#include "report/figures.h"
#include "report/parts.h"

enum { STEPS_SHOWN = 3, CURVE_UNITS = 800 };

#define USUAL_CURVE 200.0 /* points */

/* A curve at most so many points high, with what is written below it. */
static bool curve_within(const struct paper *paper, const struct assessment *assessment, size_t record, double height,
                         struct figure *ret_figure)
{
    double units = height * CURVE_UNITS / paper_width(paper);
    if (!curve_figure(assessment, record, CURVE_UNITS, units, ret_figure))
        return false;
    double excess = ret_figure->height - units;
    if (!(excess > 0))
        return true;
    figure_free(ret_figure);
    return curve_figure(assessment, record, CURVE_UNITS, units - excess, ret_figure);
}

/* "Discharge, hut-pack.log.csv"; the only one goes without saying. */
static void head_record(struct paper *paper, const struct assessment *assessment, size_t record)
{
    char heading[300];
    if (assessment->record_count < 2)
        return;
    snprintf(heading, sizeof heading, "%s, %s", part_name_of(assessment, record), account_file(assessment->records[record].path));
    paper_heading(paper, 3, heading);
}

void sheet_curve(struct paper *paper, const struct sheet *sheet, size_t record, double height)
{
    struct figure figure;
    head_record(paper, sheet->assessment, record);
    if (!curve_within(paper, sheet->assessment, record, height, &figure)) {
        paper_paragraph(paper, PAPER_BODY, "The readings hold no discharge that could be drawn.");
        return;
    }
    signs_set_figure(&sheet->signs, &figure);
    paper_figure(paper, &figure, 0);
    figure_free(&figure);
}

static void set_test(struct paper *paper, const struct record *record)
{
    struct listing rows = listing_of(2);
    paper_heading(paper, 3, "How the test went");
    account_test(record, &rows);
    if (record->findings.charging_count == 0) /* else they stand with the charges */
        account_rests(record, &rows);
    account_tallies(&record->findings, &rows);
    sheet_pairs(paper, &rows);
    listing_free(&rows);
}

static void set_cut_offs(struct paper *paper, const struct findings *findings)
{
    static const struct paper_column columns[] = {
        {"Delivered down to", ANCHOR_START, 1}, {"Ah", ANCHOR_END, 0}, {"Wh", ANCHOR_END, 0}, {"after", ANCHOR_END, 0}};
    struct listing rows = listing_of(4);
    account_cut_offs(findings, &rows);
    sheet_table(paper, columns, &rows);
    listing_free(&rows);
}

static void add_largest(const char *name, const struct measure *measure, struct text *words)
{
    struct text largest = TEXT_EMPTY;
    account_largest(measure, &largest);
    if (largest.length > 0)
        text_addf(words, "%sLargest in %s: %s", words->length > 0 ? "\n" : "", name, largest.s);
    else if (!measure_known(measure))
        text_addf(words, "%sOf %s: cannot tell: %s.", words->length > 0 ? "\n" : "", name, measure->why);
    text_free(&largest);
}

static void set_budgets(struct paper *paper, const struct findings *findings)
{
    static const struct paper_column columns[] = {
        {"Share of the variance", ANCHOR_START, 1}, {"charge", ANCHOR_END, 0}, {"energy", ANCHOR_END, 0}};
    struct listing rows = listing_of(3);
    struct text largest = TEXT_EMPTY;
    account_budgets(&findings->test_ah, "Ah", &findings->test_wh, "Wh", &rows);
    paper_columns(paper, 2, NULL, SHEET_COLUMN_GAP);
    paper_heading(paper, 3, "What the uncertainty is made of");
    add_largest("charge", &findings->test_ah, &largest);
    add_largest("energy", &findings->test_wh, &largest);
    paper_paragraph(paper, PAPER_BODY, text_string(&largest));
    paper_next_column(paper);
    sheet_table(paper, columns, &rows);
    paper_columns_end(paper);
    text_free(&largest);
    listing_free(&rows);
}

void sheet_discharge(struct paper *paper, const struct sheet *sheet, size_t record)
{
    paper_columns(paper, 2, NULL, SHEET_COLUMN_GAP);
    set_test(paper, &sheet->assessment->records[record]);
    paper_next_column(paper);
    set_cut_offs(paper, &sheet->assessment->records[record].findings);
    paper_columns_end(paper);
}

void sheet_doubts(struct paper *paper, const struct sheet *sheet, size_t record)
{
    if (!sheet->publishing->without[PUBLISH_BUDGETS])
        set_budgets(paper, &sheet->assessment->records[record].findings);
}

void sheet_more_discharges(struct paper *paper, const struct sheet *sheet, const size_t *records, size_t count)
{
    for (size_t k = 1; k < count; k++) {
        sheet_curve(paper, sheet, records[k], USUAL_CURVE);
        sheet_discharge(paper, sheet, records[k]);
        sheet_doubts(paper, sheet, records[k]);
    }
    if (count < 2 || sheet->assessment->peukert.words[0] == '\0')
        return;
    paper_heading(paper, 3, "Charge and rate");
    paper_paragraph(paper, PAPER_BODY, sheet->assessment->peukert.words);
}

/* The heading of a part, with the first that is said in it. */
static void head_part(struct paper *paper, enum report_part part, bool *headed)
{
    if (!*headed)
        paper_heading(paper, 2, part_headings[part]);
    *headed = true;
}

/* Steps side by side, delays below each other. */
static void set_resistances(struct paper *paper, const struct listing *steps, size_t left_out)
{
    static const char *const delays[] = {"first reading", "1 s", "10 s", "30 s"};
    struct listing rows = listing_of(1 + listing_rows(steps));
    struct paper_column columns[1 + STEPS_SHOWN] = {{"Resistance\nin mΩ, after", ANCHOR_START, 1}};
    for (size_t k = 0; k < listing_rows(steps); k++)
        columns[k + 1] = (struct paper_column){listing_cell(steps, k, 0), ANCHOR_END, 0};
    for (size_t d = 0; d < 4; d++) {
        bool any = false;
        for (size_t k = 0; k < listing_rows(steps); k++)
            any |= listing_cell(steps, k, d + 1)[0] != '\0';
        if (any)
            listing_add(&rows, "%s", delays[d]);
        for (size_t k = 0; k < listing_rows(steps) && any; k++)
            listing_add(&rows, "%s", listing_cell(steps, k, d + 1));
    }
    sheet_table(paper, columns, &rows);
    if (left_out > 0) {
        char words[120];
        snprintf(words, sizeof words, "%zu smaller steps are in the page and in the JSON.", left_out);
        paper_paragraph(paper, PAPER_NOTE, words);
    }
    listing_free(&rows);
}

/* Bursts beside the resistances; either alone takes the whole width. */
static void set_current(struct paper *paper, const struct listing *bursts, const struct listing *steps, size_t left_out)
{
    bool both = listing_rows(bursts) > 0 && listing_rows(steps) > 0;
    if (both)
        paper_columns(paper, 2, NULL, SHEET_COLUMN_GAP);
    sheet_pairs(paper, bursts);
    if (both)
        paper_next_column(paper);
    if (listing_rows(steps) > 0)
        set_resistances(paper, steps, left_out);
    if (both)
        paper_columns_end(paper);
}

void sheet_current(struct paper *paper, const struct sheet *sheet)
{
    const struct assessment *assessment = sheet->assessment;
    size_t *records = memory_get((assessment->record_count + 1) * sizeof *records);
    size_t count = part_records(assessment, sheet->publishing, PART_CURRENT, records);
    bool headed = false;
    for (size_t k = 0; k < count; k++) {
        const struct findings *f = &assessment->records[records[k]].findings;
        struct listing bursts = listing_of(2), steps = listing_of(5);
        account_bursts(f, true, &bursts);
        account_holds(&assessment->records[records[k]], &bursts);
        size_t left_out = f->has_test ? account_resistances(f, STEPS_SHOWN, &steps) : 0;
        if (listing_rows(&bursts) + listing_rows(&steps) > 0) {
            head_part(paper, PART_CURRENT, &headed);
            head_record(paper, assessment, records[k]);
            set_current(paper, &bursts, &steps, left_out);
        }
        listing_free(&bursts);
        listing_free(&steps);
    }
    free(records);
}

static void set_stops(struct paper *paper, const struct listing *stops)
{
    struct paper_column columns[8] = {{NULL, ANCHOR_START, 0}};
    for (size_t c = 0; c < 8; c++) {
        const char *head = account_stops_heads[c];
        columns[c] = (struct paper_column){head + (head[0] == '>'), head[0] == '>' ? ANCHOR_END : ANCHOR_START, c == 1 ? 1 : 0};
    }
    sheet_table(paper, columns, stops);
}

/* Record by record what an account says in that part; of protections their stops before it, as a table. */
static void set_part(struct paper *paper, const struct sheet *sheet, enum report_part part,
                     void (*account)(const struct record *record, struct listing *rows))
{
    const struct assessment *assessment = sheet->assessment;
    size_t *records = memory_get((assessment->record_count + 1) * sizeof *records);
    size_t count = part_records(assessment, sheet->publishing, part, records);
    bool headed = false;
    for (size_t k = 0; k < count; k++) {
        struct listing rows = listing_of(2), stops = listing_of(8);
        account(&assessment->records[records[k]], &rows);
        if (part == PART_PROTECTIONS)
            account_stops(&assessment->records[records[k]], &stops);
        if (listing_rows(&rows) + listing_rows(&stops) > 0) {
            head_part(paper, part, &headed);
            head_record(paper, assessment, records[k]);
            set_stops(paper, &stops);
            sheet_pairs(paper, &rows);
        }
        listing_free(&rows);
        listing_free(&stops);
    }
    free(records);
}

void sheet_charge(struct paper *paper, const struct sheet *sheet)
{
    set_part(paper, sheet, PART_CHARGE, account_charges);
}

void sheet_protections(struct paper *paper, const struct sheet *sheet)
{
    set_part(paper, sheet, PART_PROTECTIONS, account_protections);
}

void sheet_other(struct paper *paper, const struct sheet *sheet)
{
    set_part(paper, sheet, PART_OTHER, account_test);
}

/* What was, what was asked for, and what it means. */
static void set_conditions(struct paper *paper, const struct findings *findings)
{
    static const struct paper_column columns[] = {{"Condition", ANCHOR_START, 0},
                                                  {"Was", ANCHOR_START, 2},
                                                  {"Asked for", ANCHOR_START, 2.4},
                                                  {"What it means", ANCHOR_START, 4}};
    struct listing rows = listing_of(4);
    account_conditions(findings, &rows);
    sheet_table(paper, columns, &rows);
    listing_free(&rows);
}

void sheet_conditions(struct paper *paper, const struct sheet *sheet)
{
    const struct assessment *assessment = sheet->assessment;
    size_t *records = memory_get((assessment->record_count + 1) * sizeof *records);
    size_t count = sheet->publishing->without[PUBLISH_CONDITIONS]
                       ? 0
                       : part_records(assessment, sheet->publishing, PART_CONDITIONS, records);
    bool headed = false;
    for (size_t k = 0; k < count; k++) {
        head_part(paper, PART_CONDITIONS, &headed);
        head_record(paper, assessment, records[k]);
        set_conditions(paper, &assessment->records[records[k]].findings);
    }
    free(records);
}
