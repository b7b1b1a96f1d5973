/* The end of the sheet: what was not tested, what there is to know beside it, how to recompute it. */
#include "report/sheet_parts.h"

#include "report/account.h"
#include "report/cautions.h"

void sheet_untested(struct paper *paper, const struct sheet *sheet)
{
    struct listing rows = listing_of(2);
    account_untested(sheet->assessment, &rows);
    if (listing_rows(&rows) > 0)
        paper_heading(paper, 2, "What was not tested");
    sheet_pairs(paper, &rows);
    listing_free(&rows);
}

static void set_notices(struct paper *paper, const struct sheet *sheet)
{
    struct listing rows = listing_of(2);
    if (!sheet->publishing->without[PUBLISH_NOTICES])
        account_notices(sheet->assessment, &rows);
    if (listing_rows(&rows) > 0)
        paper_heading(paper, 2, "To know beside it");
    sheet_pairs(paper, &rows);
    listing_free(&rows);
}

/* A note, which is emptied; nothing when there is none. */
static void set_note(struct paper *paper, struct text *words)
{
    if (words->length > 0)
        paper_paragraph(paper, PAPER_NOTE, words->s);
    text_free(words);
}

void sheet_tail(struct paper *paper, const struct sheet *sheet)
{
    const bool *without = sheet->publishing->without;
    struct text words = TEXT_EMPTY;
    set_notices(paper, sheet);
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
