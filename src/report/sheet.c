/* The sheet. First page: what was claimed and what was found. Second page: how it was found, and how far it
 * can be trusted. Everything that does not fit goes on overleaf; nothing is left out for want of room. */
#include "report/sheet.h"

#include "base/memory.h"
#include "base/output.h"

#include "report/account.h"
#include "report/cautions.h"
#include "report/figures.h"
#include "report/sheet_parts.h"
#include "report/signs.h"

/* What is set, for whom, and on which paper. */
struct sheet {
    const struct assessment *assessment;
    const struct publishing *publishing;
    struct signs signs;
};

enum { STEPS_SHOWN = 3 };

/* User units across the sheet: the more, the smaller the letters of a figure. The ladder takes as few as let it
 * stand on the first page; where none do, it runs on at a readable size. */
enum { LEAST_UNITS = 800, USUAL_UNITS = 880, MOST_UNITS = 1000, UNITS_STEP = 20 };

/* Points. */
#define FIGURE_GAP 12.0 /* about a figure */
#define SLACK 8.0      /* room above a first line, which vanishes at the top of a page */
#define CURVE_HEAD 40.0 /* heading and gaps of the curve */
#define LEAST_CURVE 130.0
#define USUAL_CURVE 200.0
#define MOST_CURVE 260.0

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
    paper_heading(paper, 1, account_title(assessment));
    paper_paragraph(paper, PAPER_NOTE, text_string(&about));
    paper_paragraph(paper, PAPER_LEAD, assessment->summary);
    if (assessment->contradiction_count > 1) /* the summary has the first */
        sheet_contradictions(paper, assessment);
    sheet_opinion(paper, assessment);
    text_free(&about);
}

/* A question is kept as `key: question`. */
static void set_questions(struct paper *paper, const struct label *label)
{
    struct listing rows = listing_of(2);
    for (size_t k = 0; k < label->question_count; k++) {
        const char *question = label->questions[k], *words = strstr(question, ": ");
        listing_add(&rows, "%.*s", words != NULL ? (int)(words - question) : 0, question);
        listing_add(&rows, "%s", words != NULL ? words + 2 : question);
    }
    if (listing_rows(&rows) > 0)
        paper_heading(paper, 3, "To be rechecked");
    sheet_pairs(paper, &rows);
    listing_free(&rows);
}

static void set_below_ladder(struct paper *paper, const struct assessment *assessment)
{
    char note[400];
    snprintf(note, sizeof note,
             PAPER_STRONG "One sample is one sample" PAPER_PLAIN ": another unit of the kind may differ. A claim is decided at "
                          "a probability of conformity of %.4g on either side (JCGM 106); what stands after ± is half of a "
                          "95 %% interval (JCGM 101).",
             assessment->decide);
    set_questions(paper, &assessment->label);
    paper_paragraph(paper, PAPER_NOTE, note);
}

/* The fewest units with which the ladder is no higher than `room`, by halving; 0 when there are none. */
static int units_for(const struct assessment *assessment, double width, double room)
{
    int low = LEAST_UNITS / UNITS_STEP, high = MOST_UNITS / UNITS_STEP + 1;
    while (low < high) {
        int middle = (low + high) / 2, units = middle * UNITS_STEP;
        if (ladder_height(assessment, units) * width / units <= room)
            high = middle;
        else
            low = middle + 1;
    }
    return low * UNITS_STEP <= MOST_UNITS ? low * UNITS_STEP : 0;
}

/* The ladder with what stands below it on the first page; in parts where no page could hold it. */
static void set_ladder(struct paper *paper, const struct sheet *sheet, double below)
{
    const struct assessment *assessment = sheet->assessment;
    double width = paper_width(paper);
    int units = units_for(assessment, width, paper_remaining(paper) - below - FIGURE_GAP);
    units = units > 0 ? units : USUAL_UNITS;
    for (size_t from = 0; from < assessment->decision_count;) {
        struct figure part;
        from = ladder_part(assessment, units, from, (paper_remaining(paper) - FIGURE_GAP) * units / width, &part);
        signs_set_figure(&sheet->signs, &part);
        paper_figure(paper, &part, 0);
        figure_free(&part);
        if (from < assessment->decision_count)
            paper_break(paper);
    }
}

/* A curve at most so many points high, with what is written below it. */
static bool curve_within(const struct paper *paper, const struct assessment *assessment, size_t record, double height,
                         struct figure *ret_figure)
{
    double units = height * LEAST_UNITS / paper_width(paper);
    if (!curve_figure(assessment, record, LEAST_UNITS, units, ret_figure))
        return false;
    double excess = ret_figure->height - units;
    if (!(excess > 0))
        return true;
    figure_free(ret_figure);
    return curve_figure(assessment, record, LEAST_UNITS, units - excess, ret_figure);
}

static void set_curve(struct paper *paper, const struct sheet *sheet, size_t record, double height)
{
    const struct assessment *assessment = sheet->assessment;
    struct figure figure;
    char heading[300];
    const char *file = account_file(assessment->records[record].path);
    snprintf(heading, sizeof heading, "Discharge, %s", file);
    paper_heading(paper, 2, heading);
    if (!curve_within(paper, assessment, record, height, &figure)) {
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
    account_bursts(&record->findings, true, &rows);
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
    set_table(paper, columns, &rows);
    listing_free(&rows);
}

/* Steps side by side, delays below each other. */
static void set_resistances(struct paper *paper, const struct findings *findings)
{
    static const char *const delays[] = {"first reading", "1 s", "10 s", "30 s"};
    struct listing steps = listing_of(5), rows = {0};
    size_t left_out = account_resistances(findings, STEPS_SHOWN, &steps);
    struct paper_column columns[1 + STEPS_SHOWN] = {{"Resistance\nin mΩ, after", ANCHOR_START, 1}};
    rows = listing_of(1 + listing_rows(&steps));
    for (size_t k = 0; k < listing_rows(&steps); k++)
        columns[k + 1] = (struct paper_column){listing_cell(&steps, k, 0), ANCHOR_END, 0};
    for (size_t d = 0; d < 4; d++) {
        bool any = false;
        for (size_t k = 0; k < listing_rows(&steps); k++)
            any |= listing_cell(&steps, k, d + 1)[0] != '\0';
        if (any)
            listing_add(&rows, "%s", delays[d]);
        for (size_t k = 0; k < listing_rows(&steps) && any; k++)
            listing_add(&rows, "%s", listing_cell(&steps, k, d + 1));
    }
    if (listing_rows(&steps) > 0)
        set_table(paper, columns, &rows);
    if (left_out > 0) {
        char words[120];
        snprintf(words, sizeof words, "%zu smaller steps are in the page and in the JSON.", left_out);
        paper_paragraph(paper, PAPER_NOTE, words);
    }
    listing_free(&rows);
    listing_free(&steps);
}

/* What was, what it means, and what was asked for where that differs. */
static void set_conditions(struct paper *paper, const struct findings *findings)
{
    struct listing all = listing_of(4), pairs = listing_of(2);
    account_conditions(findings, &all);
    for (size_t k = 0; k < listing_rows(&all); k++) {
        const char *was = listing_cell(&all, k, 1), *asked = listing_cell(&all, k, 2);
        bool shown = findings->conditions[k].departs || !findings->conditions[k].known;
        size_t length = strcspn(asked, "("); /* the standards stand in the heading */
        listing_add(&pairs, "%s", listing_cell(&all, k, 0));
        if (shown)
            listing_add(&pairs, "%s%s%s; asked for: %.*s", was, was[0] != '\0' ? ": " : "", listing_cell(&all, k, 3),
                        (int)(length > 0 && asked[length] != '\0' ? length - 1 : length), asked);
        else
            listing_add(&pairs, "%s%s%s", was, was[0] != '\0' ? ": " : "", listing_cell(&all, k, 3));
    }
    if (listing_rows(&pairs) > 0)
        paper_heading(paper, 3, "Conditions, beside IEC 62620 and IEC 61960-3");
    sheet_pairs(paper, &pairs);
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
    static const struct paper_column columns[] = {
        {"Share of the variance", ANCHOR_START, 1}, {"charge", ANCHOR_END, 0}, {"energy", ANCHOR_END, 0}};
    struct listing rows = listing_of(3);
    struct text largest = TEXT_EMPTY;
    paper_heading(paper, 3, "What the uncertainty is made of");
    account_budgets(&findings->test_ah, "Ah", &findings->test_wh, "Wh", &rows);
    set_table(paper, columns, &rows);
    add_largest("charge", &findings->test_ah, &largest);
    add_largest("energy", &findings->test_wh, &largest);
    paper_paragraph(paper, PAPER_BODY, text_string(&largest));
    text_free(&largest);
    listing_free(&rows);
}

static void set_notices(struct paper *paper, const struct sheet *sheet)
{
    struct listing rows = listing_of(2);
    if (!sheet->publishing->without[PUBLISH_NOTICES])
        account_notices(sheet->assessment, &rows);
    if (listing_rows(&rows) > 0)
        paper_heading(paper, 3, "To know beside it");
    sheet_pairs(paper, &rows);
    listing_free(&rows);
}

/* In two columns how a test went and how far it can be trusted; a few notices find room in the left one where
 * there is less to say of the conditions. */
static void set_columns(struct paper *paper, const struct sheet *sheet, size_t record, bool notices)
{
    const struct findings *f = &sheet->assessment->records[record].findings;
    const bool *without = sheet->publishing->without;
    bool conditions = f->condition_count > 0 && !without[PUBLISH_CONDITIONS];
    paper_columns(paper, 2, NULL, SHEET_COLUMN_GAP);
    set_test(paper, &sheet->assessment->records[record]);
    if (conditions)
        set_conditions(paper, f);
    else if (notices)
        set_notices(paper, sheet);
    paper_next_column(paper);
    if (f->has_test) {
        set_cut_offs(paper, f);
        set_resistances(paper, f);
        if (!without[PUBLISH_BUDGETS])
            set_budgets(paper, f);
    }
    if (notices && conditions)
        set_notices(paper, sheet);
    paper_columns_end(paper);
}

/* What several records say together, and their notices. */
static void set_together(struct paper *paper, const struct sheet *sheet)
{
    const struct assessment *assessment = sheet->assessment;
    paper_heading(paper, 2, "All records");
    if (assessment->peukert.words[0] != '\0') {
        paper_heading(paper, 3, "Charge and rate");
        paper_paragraph(paper, PAPER_BODY, assessment->peukert.words);
    }
    set_notices(paper, sheet);
}

/* What the whole test has beside its discharges. */
static void set_parts(struct paper *paper, const struct sheet *sheet)
{
    sheet_charges(paper, sheet->assessment, sheet->publishing);
    sheet_protections(paper, sheet->assessment, sheet->publishing);
    sheet_construction(paper, sheet->assessment, sheet->publishing);
    sheet_untested(paper, sheet->assessment);
}

/* A note, which is emptied; nothing when there is none. */
static void set_note(struct paper *paper, struct text *words)
{
    if (words->length > 0)
        paper_paragraph(paper, PAPER_NOTE, words->s);
    text_free(words);
}

static void set_tail(struct paper *paper, const struct sheet *sheet)
{
    const bool *without = sheet->publishing->without;
    struct text words = TEXT_EMPTY;
    paper_rule(paper, INK_HAIR, 0.4);
    if (!without[PUBLISH_RECOMPUTE])
        text_addf(&words, PAPER_STRONG "To recompute" PAPER_PLAIN ", Rundown %s with the files named: %s", RUNDOWN_VERSION,
                  sheet->assessment->command != NULL ? sheet->assessment->command : "");
    set_note(paper, &words);
    if (!without[PUBLISH_CAUTIONS])
        text_add(&words, PAPER_STRONG "Cautions." PAPER_PLAIN);
    for (size_t k = 0; cautions[k] != NULL && !without[PUBLISH_CAUTIONS]; k++)
        text_addf(&words, " %s", cautions[k]);
    set_note(paper, &words);
    publishing_left_out(sheet->publishing, sheet->assessment, &words);
    set_note(paper, &words);
}

static void set_words(const void *signs, char *words)
{
    signs_set(signs, words);
}

static struct paper *open_paper(const struct sheet *sheet)
{
    const struct assessment *assessment = sheet->assessment;
    char foot[200];
    snprintf(foot, sizeof foot, "%sRundown %s · one sample is one sample · %s",
             assessment->invented ? "INVENTED DATA · " : "", RUNDOWN_VERSION, account_title(assessment));
    return paper_open(&(struct paper_about){
        .size = sheet->publishing->paper,
        .title = account_title(assessment),
        .subject = assessment->invented ? "Invented data" : "Claims held against measurements",
        .foot = foot,
        .words = set_words,
        .context = &sheet->signs,
    });
}

/* What stands below the ladder and below the first curve, set before the two are, which take what room it
 * leaves. */
struct rest {
    struct paper *below_ladder, *below_curve;
    double page; /* height of the text on a page */
};

static struct rest set_rest(const struct sheet *sheet, size_t first)
{
    const struct assessment *assessment = sheet->assessment;
    struct rest rest = {open_paper(sheet), open_paper(sheet), 0};
    rest.page = paper_remaining(rest.below_curve);
    paper_small(rest.below_ladder, true);
    paper_small(rest.below_curve, true);
    set_below_ladder(rest.below_ladder, assessment);
    if (first < assessment->record_count)
        set_columns(rest.below_curve, sheet, first, assessment->record_count == 1);
    return rest;
}

/* As high as the second page allows, if it does. */
static double curve_height(const struct rest *rest)
{
    double room = paper_remaining(rest->below_curve) - CURVE_HEAD;
    return paper_page(rest->below_curve) > 1 || room < LEAST_CURVE ? USUAL_CURVE : fmin(room, MOST_CURVE);
}

static bool shows_discharge(const struct sheet *sheet, size_t record)
{
    return publishing_shows(sheet->publishing, record) && sheet->assessment->records[record].findings.has_test;
}

/* The record whose test comes first: the one that the capacity rests on, if it is shown. record_count when none is. */
static size_t first_record(const struct sheet *sheet)
{
    const struct assessment *assessment = sheet->assessment;
    const struct record *main = assessment_main(assessment);
    size_t first = main != NULL ? (size_t)(main - assessment->records) : 0;
    for (size_t k = 0; k < assessment->record_count && !shows_discharge(sheet, first); k++)
        first = k;
    return assessment->record_count > 0 && shows_discharge(sheet, first) ? first : assessment->record_count;
}

static void set_records(struct paper *paper, const struct sheet *sheet, struct rest *rest, size_t first)
{
    const struct assessment *assessment = sheet->assessment;
    if (first < assessment->record_count)
        set_curve(paper, sheet, first, curve_height(rest));
    paper_append(paper, rest->below_curve);
    for (size_t k = 0; k < assessment->record_count; k++)
        if (k != first && shows_discharge(sheet, k)) {
            set_curve(paper, sheet, k, USUAL_CURVE);
            set_columns(paper, sheet, k, false);
        }
    set_parts(paper, sheet);
    if (assessment->record_count > 1)
        set_together(paper, sheet);
    else if (first == assessment->record_count)
        set_notices(paper, sheet);
    set_tail(paper, sheet);
}

static void compose(struct paper *paper, const struct sheet *sheet)
{
    const struct assessment *assessment = sheet->assessment;
    size_t first = first_record(sheet);
    struct rest rest = set_rest(sheet, first);
    set_head(paper, assessment);
    if (assessment->decision_count > 0) {
        paper_heading(paper, 2, "Claims");
        set_ladder(paper, sheet, paper_y(rest.below_ladder) + SLACK);
    } else {
        paper_paragraph(paper, PAPER_BODY, "No label was given: these are findings, held against no claim.");
    }
    paper_small(paper, true);
    paper_append(paper, rest.below_ladder);
    set_records(paper, sheet, &rest, first);
    paper_free(rest.below_ladder);
    paper_free(rest.below_curve);
}

/* Free it with end_sheet. */
static struct paper *set_sheet(struct sheet *sheet, const struct assessment *assessment, const struct publishing *publishing)
{
    *sheet = (struct sheet){assessment, publishing, signs_of(assessment, publishing->comma)};
    struct paper *paper = open_paper(sheet);
    compose(paper, sheet);
    return paper;
}

static void end_sheet(struct sheet *sheet, struct paper *paper)
{
    paper_free(paper);
    signs_free(&sheet->signs);
}

enum status sheet_render(const struct assessment *assessment, const struct publishing *publishing, struct text *ret_pdf,
                         struct message *message)
{
    struct sheet sheet;
    struct paper *paper = set_sheet(&sheet, assessment, publishing);
    enum status status = paper_render(paper, ret_pdf, message);
    end_sheet(&sheet, paper);
    return status;
}

enum status sheet_picture(const struct assessment *assessment, const struct publishing *publishing, int page, int pixels,
                          struct text *ret_png, int *ret_pages, struct message *message)
{
    struct sheet sheet;
    struct paper *paper = set_sheet(&sheet, assessment, publishing);
    int pages = paper_pages(paper);
    enum status status = page == 0 ? STATUS_OK : paper_picture(paper, page, pixels, ret_png, message);
    end_sheet(&sheet, paper);
    if (status == STATUS_OK)
        *ret_pages = pages;
    return status;
}

enum status sheet_write(const struct assessment *assessment, const struct publishing *publishing, const char *path,
                        struct message *message)
{
    struct text pdf = TEXT_EMPTY;
    enum status status = sheet_render(assessment, publishing, &pdf, message);
    if (status == STATUS_OK)
        status = output_save(path, &pdf, message);
    text_free(&pdf);
    return status;
}
