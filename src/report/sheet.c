/* The sheet. First page: what was claimed and what was found. Second page: how it was found, and how far it
 * can be trusted. Everything that does not fit goes on overleaf; nothing is left out for want of room. */
#include "report/sheet.h"

#include "base/memory.h"

#include "report/account.h"
#include "report/cautions.h"
#include "report/figures.h"

#include <stdint.h>

enum { STEPS_SHOWN = 4 };

/* User units across the sheet: more of them make the figures' letters smaller. Wider ones are tried until the
 * ladder fits the first page. */
static const double figure_units[] = {800, 850, 900, 960, 1020};
enum { FIGURE_UNITS = sizeof figure_units / sizeof figure_units[0] };

static const double column_gap = 22;

/* Points: about a figure, and what the list below the ladder takes. */
#define FIGURE_GAP 14.0
#define OPEN_HEAD 24.0
#define OPEN_ROW 11.0

static void set_pairs(struct paper *paper, const struct listing *rows)
{
    size_t count = listing_rows(rows);
    struct paper_pair *pairs = memory_get((count + 1) * sizeof *pairs);
    for (size_t k = 0; k < count; k++)
        pairs[k] = (struct paper_pair){listing_cell(rows, k, 0), listing_cell(rows, k, 1)};
    if (count > 0)
        paper_pairs(paper, pairs, count);
    free(pairs);
}

static void set_table(struct paper *paper, const struct paper_column *columns, const struct listing *rows)
{
    size_t count = listing_rows(rows);
    const char **cells = memory_get((count * rows->columns + 1) * sizeof *cells);
    for (size_t k = 0; k < count * rows->columns; k++)
        cells[k] = listing_cell(rows, k / rows->columns, k % rows->columns);
    if (count > 0)
        paper_table(paper, columns, rows->columns, cells, count);
    free(cells);
}

static void set_head(struct paper *paper, const struct assessment *assessment)
{
    struct text about = TEXT_EMPTY;
    if (assessment->invented)
        text_add(&about, PAPER_STRONG "Invented data." PAPER_PLAIN);
    account_about(assessment, &about);
    paper_heading(paper, 1, assessment->label.sample);
    paper_paragraph(paper, PAPER_NOTE, text_string(&about));
    paper_paragraph(paper, PAPER_LEAD, assessment->summary);
    text_free(&about);
}

/* As large as the first page allows, in parts where no page could hold it. */
static void set_ladder(struct paper *paper, const struct assessment *assessment, double below)
{
    double room = paper_remaining(paper) - below, width = paper_width(paper), units = 0;
    for (int k = 0; k < FIGURE_UNITS && units == 0; k++) {
        struct figure figure;
        ladder_figure(assessment, figure_units[k], &figure);
        if (figure.height * width / figure.width <= room)
            units = figure_units[k];
        figure_free(&figure);
    }
    units = units > 0 ? units : figure_units[0];
    for (size_t from = 0; from < assessment->decision_count;) {
        struct figure part;
        from = ladder_part(assessment, units, from, (paper_remaining(paper) - FIGURE_GAP) * units / width, &part);
        paper_figure(paper, &part, 0);
        figure_free(&part);
        if (from < assessment->decision_count)
            paper_break(paper);
    }
}

static void set_claims(struct paper *paper, const struct assessment *assessment)
{
    if (assessment->decision_count == 0) {
        paper_paragraph(paper, PAPER_BODY, "No label was given: these are findings, held against no claim.");
        return;
    }
    struct listing rows = listing_of(2);
    account_open(assessment, &rows);
    paper_heading(paper, 2, "Claims");
    set_ladder(paper, assessment, FIGURE_GAP + (rows.count > 0 ? OPEN_HEAD + OPEN_ROW * (double)listing_rows(&rows) : 0));
    paper_small(paper, true);
    if (rows.count > 0)
        paper_heading(paper, 3, "What would settle what is open");
    set_pairs(paper, &rows);
    listing_free(&rows);
}

static void set_curve(struct paper *paper, const struct assessment *assessment, size_t record)
{
    struct figure figure;
    char heading[300];
    const char *file = account_file(assessment->records[record].path);
    snprintf(heading, sizeof heading, assessment->record_count > 1 ? "Discharge, %s" : "Discharge", file);
    paper_heading(paper, 2, heading);
    if (!curve_figure(assessment, record, figure_units[0], 330, &figure)) {
        paper_paragraph(paper, PAPER_BODY, "The readings hold no discharge that could be drawn.");
        return;
    }
    paper_figure(paper, &figure, 0);
    figure_free(&figure);
}

static void set_test(struct paper *paper, const struct record *record)
{
    struct listing rows = listing_of(2);
    paper_heading(paper, 3, "How the test went");
    account_test(record, &rows);
    account_bursts(&record->findings, &rows);
    account_tallies(&record->findings, &rows);
    set_pairs(paper, &rows);
    listing_free(&rows);
}

static void set_cut_offs(struct paper *paper, const struct findings *findings)
{
    static const struct paper_column columns[] = {
        {"Delivered down to", ANCHOR_START, 1}, {"Ah", ANCHOR_END, 0}, {"Wh", ANCHOR_END, 0}, {"after", ANCHOR_END, 0}};
    struct listing rows = listing_of(4);
    account_cut_offs(findings, &rows);
    set_table(paper, columns, &rows);
    listing_free(&rows);
}

/* The column of first readings is left out when no delay is theirs alone. */
static void set_resistances(struct paper *paper, const struct findings *findings)
{
    static const struct paper_column columns[] = {{"Resistance in mΩ, at", ANCHOR_START, 1},
                                                  {"first reading", ANCHOR_END, 0},
                                                  {"1 s", ANCHOR_END, 0},
                                                  {"10 s", ANCHOR_END, 0},
                                                  {"30 s", ANCHOR_END, 0}};
    struct listing rows = listing_of(5), fewer = listing_of(4);
    bool first = false;
    size_t left_out = account_resistances(findings, STEPS_SHOWN, &rows);
    for (size_t k = 0; k < listing_rows(&rows); k++) {
        first |= listing_cell(&rows, k, 1)[0] != '\0';
        for (size_t c = 0; c < 5; c++)
            if (c != 1)
                listing_add(&fewer, "%s", listing_cell(&rows, k, c));
    }
    const struct paper_column without[] = {columns[0], columns[2], columns[3], columns[4]};
    set_table(paper, first ? columns : without, first ? &rows : &fewer);
    if (left_out > 0) {
        char words[120];
        snprintf(words, sizeof words, "%zu smaller steps are in the page and in the JSON.", left_out);
        paper_paragraph(paper, PAPER_NOTE, words);
    }
    listing_free(&rows);
    listing_free(&fewer);
}

static void set_conditions(struct paper *paper, const struct findings *findings)
{
    struct listing all = listing_of(4), pairs = listing_of(2);
    account_conditions(findings, &all);
    for (size_t k = 0; k < listing_rows(&all); k++) {
        const char *asked = listing_cell(&all, k, 2);
        bool shown = findings->conditions[k].departs || !findings->conditions[k].known;
        listing_add(&pairs, "%s", listing_cell(&all, k, 0));
        listing_add(&pairs, "%s%s%s%s: %s", listing_cell(&all, k, 1), shown ? " (asked for: " : "", shown ? asked : "",
                    shown ? ")" : "", listing_cell(&all, k, 3));
    }
    if (listing_rows(&pairs) > 0)
        paper_heading(paper, 3, "Conditions, beside IEC 62620 and IEC 61960-3");
    set_pairs(paper, &pairs);
    listing_free(&all);
    listing_free(&pairs);
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
    static const struct paper_column columns[] = {{"Standard uncertainty from", ANCHOR_START, 1},
                                                  {"Ah", ANCHOR_END, 0},
                                                  {"share", ANCHOR_END, 0},
                                                  {"Wh", ANCHOR_END, 0},
                                                  {"share", ANCHOR_END, 0}};
    struct listing rows = listing_of(5);
    struct text largest = TEXT_EMPTY;
    paper_heading(paper, 3, "What the uncertainty is made of");
    account_budgets(&findings->test_ah, &findings->test_wh, &rows);
    set_table(paper, columns, &rows);
    add_largest("charge", &findings->test_ah, &largest);
    add_largest("energy", &findings->test_wh, &largest);
    paper_paragraph(paper, PAPER_BODY, text_string(&largest));
    text_free(&largest);
    listing_free(&rows);
}

static void set_notices(struct paper *paper, const struct assessment *assessment)
{
    struct listing rows = listing_of(2);
    account_notices(assessment, &rows);
    if (listing_rows(&rows) > 0)
        paper_heading(paper, 3, "To know beside it");
    set_pairs(paper, &rows);
    listing_free(&rows);
    if (assessment->label.question_count == 0)
        return;
    paper_heading(paper, 3, "To be rechecked");
    for (size_t k = 0; k < assessment->label.question_count; k++)
        paper_paragraph(paper, PAPER_BODY, assessment->label.questions[k]);
}

static void set_record(struct paper *paper, const struct assessment *assessment, size_t record, bool notices)
{
    const struct findings *f = &assessment->records[record].findings;
    set_curve(paper, assessment, record);
    paper_columns(paper, 2, NULL, column_gap);
    set_test(paper, &assessment->records[record]);
    set_conditions(paper, f);
    if (notices)
        set_notices(paper, assessment);
    paper_next_column(paper);
    if (f->has_test) {
        set_cut_offs(paper, f);
        set_resistances(paper, f);
        set_budgets(paper, f);
    }
    paper_columns_end(paper);
}

static void set_cautions(struct paper *paper)
{
    struct text words = TEXT_EMPTY;
    text_add(&words, PAPER_STRONG "Cautions." PAPER_PLAIN);
    for (size_t k = 0; cautions[k] != NULL; k++)
        text_addf(&words, " %s", cautions[k]);
    paper_paragraph(paper, PAPER_NOTE, text_string(&words));
    text_free(&words);
}

static void set_recompute(struct paper *paper, const struct assessment *assessment)
{
    struct text words = TEXT_EMPTY;
    text_addf(&words, PAPER_STRONG "To recompute" PAPER_PLAIN ", Rundown %s with the files named: %s", RUNDOWN_VERSION,
              assessment->command != NULL ? assessment->command : "");
    text_addf(&words, "\n" PAPER_STRONG "One sample is one sample" PAPER_PLAIN ": another unit of the kind may differ. A claim "
                      "is decided at a probability of conformity of %.4g on either side (JCGM 106); what stands after ± is "
                      "half of a 95 %% interval (JCGM 101).",
              assessment->decide);
    paper_paragraph(paper, PAPER_NOTE, text_string(&words));
    text_free(&words);
}

/* First the record that the claims rest on; its columns take the notices along. */
static void set_records(struct paper *paper, const struct assessment *assessment)
{
    const struct record *main = assessment_main(assessment);
    size_t first = main != NULL ? (size_t)(main - assessment->records) : 0;
    set_record(paper, assessment, first, true);
    for (size_t k = 0; k < assessment->record_count; k++)
        if (k != first)
            set_record(paper, assessment, k, false);
}

static struct paper *compose(const struct assessment *assessment, enum paper_size size)
{
    char foot[200];
    snprintf(foot, sizeof foot, "%s%s · one sample is one sample · Rundown %s", assessment->label.sample,
             assessment->invented ? " · INVENTED DATA" : "", RUNDOWN_VERSION);
    struct paper *paper = paper_open(&(struct paper_about){
        .size = size,
        .title = assessment->label.sample,
        .subject = assessment->invented ? "Invented data" : "Claims held against measurements",
        .foot = foot,
    });
    set_head(paper, assessment);
    set_claims(paper, assessment);
    paper_small(paper, true);
    if (assessment->record_count > 0)
        set_records(paper, assessment);
    paper_rule(paper, INK_HAIR, 0.4);
    set_recompute(paper, assessment);
    set_cautions(paper);
    return paper;
}

enum status sheet_write(const struct assessment *assessment, enum paper_size size, const char *path,
                        struct message *message)
{
    struct paper *paper = compose(assessment, size);
    enum status status = paper_save(paper, path, message);
    paper_free(paper);
    return status;
}
