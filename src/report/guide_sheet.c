#include "report/guide_sheet.h"

#include "base/memory.h"

#define BOX "☐"
#define GAP 18.0 /* points, between columns */

static void set_numbers(struct paper *paper, const struct guide *guide)
{
    struct paper_pair pairs[GUIDE_NUMBERS];
    char values[GUIDE_NUMBERS][sizeof guide->numbers[0].words + sizeof guide->numbers[0].from + 16];
    for (size_t k = 0; k < guide->number_count; k++) {
        const struct guide_number *number = &guide->numbers[k];
        snprintf(values[k], sizeof values[k], PAPER_STRONG "%s" PAPER_PLAIN PAPER_SOFT " %s" PAPER_PLAIN, number->words, number->from);
        pairs[k] = (struct paper_pair){number->what, values[k]};
    }
    paper_heading(paper, 3, "Numbers of this sample");
    paper_pairs(paper, pairs, guide->number_count);
}

/* A list, each line with a box to tick where it is something to do. */
static void set_part(struct paper *paper, const struct guide *guide, enum guide_part part, const char *bullet)
{
    struct paper_pair pairs[GUIDE_LINES];
    size_t count = 0;
    for (size_t k = 0; k < guide->count; k++)
        if (guide->lines[k].part == part)
            pairs[count++] = (struct paper_pair){bullet, guide->lines[k].words};
    if (count == 0)
        return;
    paper_heading(paper, 3, guide_part_heading(part));
    paper_pairs(paper, pairs, count);
}

static void set_steps(struct paper *paper, const struct guide *guide)
{
    static const struct paper_column columns[] = {
        {"", ANCHOR_START, 0}, {"Step by step", ANCHOR_START, 1}, {"Mark", ANCHOR_START, 0}, {"At", ANCHOR_START, 0}};
    const char *cells[4 * GUIDE_LINES];
    size_t rows = 0;
    for (size_t k = 0; k < guide->count; k++) {
        const struct guide_line *line = &guide->lines[k];
        if (line->part != GUIDE_STEPS)
            continue;
        const char **row = &cells[4 * rows++];
        row[0] = BOX;
        row[1] = line->words;
        row[2] = line->mark;
        row[3] = "__ : __";
    }
    paper_table(paper, columns, 4, cells, rows);
}

static void set_sources(struct paper *paper, const struct guide *guide)
{
    struct text all = TEXT_EMPTY;
    for (size_t k = 0; k < guide->count; k++)
        if (guide->lines[k].part == GUIDE_SOURCES)
            text_addf(&all, "%s%s", all.length > 0 ? " " : "", guide->lines[k].words);
    paper_paragraph(paper, PAPER_NOTE, text_string(&all));
    text_free(&all);
}

static void set_all(struct paper *paper, const struct guide *guide)
{
    static const double halves[] = {1, 1};
    char about[400];
    snprintf(about, sizeof about, "%s%s%sRecorded as a run of the kind ‘%s’. Date ____________   Tester ____________________   Room ______ °C",
             guide->invented ? PAPER_STRONG "Invented data." PAPER_PLAIN " " : "", guide->sample, guide->sample[0] != '\0' ? ". " : "",
             guide_kind(guide->test));
    paper_small(paper, true);
    paper_heading(paper, 1, guide_title(guide->test));
    paper_paragraph(paper, PAPER_NOTE, about);
    paper_columns(paper, 2, halves, GAP);
    set_numbers(paper, guide);
    set_part(paper, guide, GUIDE_SHOWS, "•");
    set_part(paper, guide, GUIDE_SHOWS_NOT, "•");
    paper_next_column(paper);
    set_part(paper, guide, GUIDE_NEEDS, BOX);
    set_part(paper, guide, GUIDE_PREPARE, BOX);
    paper_columns_end(paper);
    set_part(paper, guide, GUIDE_CAUTIONS, "!");
    set_steps(paper, guide);
    paper_columns(paper, 2, halves, GAP);
    set_part(paper, guide, GUIDE_STOP, "•");
    paper_next_column(paper);
    set_part(paper, guide, GUIDE_NOTE, BOX);
    paper_columns_end(paper);
    set_sources(paper, guide);
}

enum status guide_sheet_render(const struct guide *guide, enum paper_size size, struct text *ret_pdf, struct message *message)
{
    struct paper_about about = {.size = size, .title = guide_title(guide->test), .subject = guide->sample,
                                .foot = "Local codes, the manual of the sample and licensed practice stand above this sheet"};
    struct paper *paper = paper_open(&about);
    set_all(paper, guide);
    enum status status = paper_render(paper, ret_pdf, message);
    paper_free(paper);
    return status;
}
