/* The first page of the sheet: what it is, what does not go together, the answer in a few sentences, the claims. */
#include "report/sheet_parts.h"

#include "base/memory.h"

#include "report/account.h"
#include "report/figures.h"
#include "report/parts.h"

/* User units across the sheet: the more, the smaller the letters of a figure. The ladder takes as few as let it
 * stand on the first page; where none do, it runs on at a readable size. */
enum { LEAST_UNITS = 800, USUAL_UNITS = 880, MOST_UNITS = 1000, UNITS_STEP = 20 };

#define FIGURE_GAP 12.0 /* points about a figure */

void sheet_pairs(struct paper *paper, const struct listing *rows)
{
    size_t count = listing_rows(rows);
    struct paper_pair *pairs = memory_get((count + 1) * sizeof *pairs);
    for (size_t k = 0; k < count; k++)
        pairs[k] = (struct paper_pair){listing_cell(rows, k, 0), listing_cell(rows, k, 1)};
    if (count > 0)
        paper_pairs(paper, pairs, count);
    free(pairs);
}

void sheet_table(struct paper *paper, const struct paper_column *columns, const struct listing *rows)
{
    size_t count = listing_rows(rows);
    const char **cells = memory_get((count * rows->columns + 1) * sizeof *cells);
    for (size_t k = 0; k < count * rows->columns; k++)
        cells[k] = listing_cell(rows, k / rows->columns, k % rows->columns);
    if (count > 0)
        paper_table(paper, columns, rows->columns, cells, count);
    free(cells);
}

static void set_contradictions(struct paper *paper, const struct assessment *assessment)
{
    struct listing rows = listing_of(2);
    account_contradictions(assessment, &rows);
    if (listing_rows(&rows) > 0)
        paper_heading(paper, 2, "What does not go together");
    sheet_pairs(paper, &rows);
    listing_free(&rows);
}

/* The tester's own words stand beside the composed ones, never in their place. */
static void set_summary(struct paper *paper, const struct assessment *assessment)
{
    paper_paragraph(paper, PAPER_LEAD, part_summary(assessment));
    if (assessment->opinion == NULL)
        return;
    struct text words = TEXT_EMPTY;
    text_addf(&words, PAPER_STRONG "The tester's opinion: " PAPER_PLAIN PAPER_ITALIC "%s" PAPER_PLAIN, assessment->opinion);
    paper_paragraph(paper, PAPER_BODY, text_string(&words));
    text_free(&words);
}

void sheet_head(struct paper *paper, const struct sheet *sheet)
{
    const struct assessment *assessment = sheet->assessment;
    struct text about = TEXT_EMPTY;
    if (assessment->invented)
        text_add(&about, PAPER_STRONG "Invented data." PAPER_PLAIN);
    account_about(assessment, &about);
    paper_heading(paper, 1, account_title(assessment));
    paper_paragraph(paper, PAPER_NOTE, text_string(&about));
    set_contradictions(paper, assessment);
    set_summary(paper, assessment);
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

void sheet_below_ladder(struct paper *paper, const struct sheet *sheet)
{
    char note[400];
    snprintf(note, sizeof note,
             PAPER_STRONG "One sample is one sample" PAPER_PLAIN ": another unit of the kind may differ. A claim is decided at "
                          "a probability of conformity of %.4g on either side (JCGM 106); what stands after ± is half of a "
                          "95 %% interval (JCGM 101).",
             sheet->assessment->decide);
    set_questions(paper, &sheet->assessment->label);
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
void sheet_ladder(struct paper *paper, const struct sheet *sheet, double below)
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
