#include "report/sheet_parts.h"

#include "base/memory.h"
#include "claims/claim_names.h"
#include "image/image.h"
#include "report/account.h"

#include <string.h>

#define PICTURE_WIDTH 235.0 /* points: half of the page */
#define PICTURE_HEIGHT 180.0

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

void sheet_contradictions(struct paper *paper, const struct assessment *assessment)
{
    struct listing rows = listing_of(2);
    account_contradictions(assessment, &rows);
    if (listing_rows(&rows) > 0)
        paper_heading(paper, 3, "What does not go together");
    sheet_pairs(paper, &rows);
    listing_free(&rows);
}

void sheet_opinion(struct paper *paper, const struct assessment *assessment)
{
    struct text words = TEXT_EMPTY;
    if (assessment->opinion == NULL)
        return;
    paper_heading(paper, 3, "In the tester's own words: an opinion");
    text_addf(&words, PAPER_ITALIC "%s" PAPER_PLAIN, assessment->opinion);
    paper_paragraph(paper, PAPER_BODY, words.s);
    text_free(&words);
}

/* One part over all records that are shown, each under its file where there are several. */
static void set_part(struct paper *paper, const struct assessment *assessment, const struct publishing *publishing,
                     const char *heading, void (*account)(const struct record *record, struct listing *rows))
{
    bool headed = false;
    for (size_t k = 0; k < assessment->record_count; k++) {
        struct listing rows = listing_of(2);
        if (publishing_shows(publishing, k))
            account(&assessment->records[k], &rows);
        if (listing_rows(&rows) > 0 && !headed)
            paper_heading(paper, 2, heading);
        headed |= listing_rows(&rows) > 0;
        if (listing_rows(&rows) > 0 && assessment->record_count > 1)
            paper_heading(paper, 3, account_file(assessment->records[k].path));
        sheet_pairs(paper, &rows);
        listing_free(&rows);
    }
}

void sheet_charges(struct paper *paper, const struct assessment *assessment, const struct publishing *publishing)
{
    set_part(paper, assessment, publishing, "Charge and rest", account_charges);
}

void sheet_protections(struct paper *paper, const struct assessment *assessment, const struct publishing *publishing)
{
    set_part(paper, assessment, publishing, "Protections", account_protections);
}

/* A picture that cannot be read any more is told by its caption. */
static void set_picture(struct paper *paper, const struct publishing_picture *picture)
{
    struct image *image = NULL;
    struct message message;
    if (image_read(picture->caption, picture->jpeg, &image, &message) != STATUS_OK) {
        paper_paragraph(paper, PAPER_NOTE, picture->caption);
        return;
    }
    int width = image_width(image), height = image_height(image);
    uint32_t *pixels = memory_get((size_t)width * (size_t)height * sizeof *pixels);
    image_pixels(image, pixels);
    paper_photograph(paper, &(struct paper_photograph){pixels, width, height, picture->jpeg, picture->caption}, PICTURE_WIDTH,
                     PICTURE_HEIGHT);
    free(pixels);
    image_free(image);
}

static size_t set_pictures_of(struct paper *paper, const struct publishing *publishing, const char *slug)
{
    size_t set = 0;
    for (size_t k = 0; k < publishing->picture_count && !publishing->without[PUBLISH_PICTURES]; k++) {
        if (strcmp(publishing->pictures[k].item, slug) != 0)
            continue;
        set_picture(paper, &publishing->pictures[k]);
        set++;
    }
    return set;
}

static void set_item(struct paper *paper, const struct inspected *item, const struct publishing *publishing)
{
    struct listing rows = listing_of(2);
    account_opened_brief(item, &rows);
    paper_heading(paper, 3, item->item->title);
    set_pictures_of(paper, publishing, item->item->slug);
    sheet_pairs(paper, &rows);
    listing_free(&rows);
}

/* Pictures of the sample itself, or of an item that is no longer in the paper; two and two. */
static void set_other_pictures(struct paper *paper, const struct assessment *assessment, const struct publishing *publishing)
{
    size_t count = 0;
    for (size_t k = 0; k < publishing->picture_count && !publishing->without[PUBLISH_PICTURES]; k++) {
        const struct publishing_picture *picture = &publishing->pictures[k];
        if (picture->item[0] != '\0' && opened_named(&assessment->opened, picture->item) != NULL)
            continue;
        if (count == 0)
            paper_heading(paper, 2, "Pictures");
        if (count % 2 == 0)
            paper_columns(paper, 2, NULL, SHEET_COLUMN_GAP);
        else
            paper_next_column(paper);
        set_picture(paper, picture);
        if (count++ % 2 == 1)
            paper_columns_end(paper);
    }
    if (count % 2 == 1)
        paper_columns_end(paper);
}

void sheet_construction(struct paper *paper, const struct assessment *assessment, const struct publishing *publishing)
{
    const struct inspection *inspection = &assessment->inspection;
    char heading[96];
    if (inspection->count > 0) {
        snprintf(heading, sizeof heading, "Construction%s%s", assessment->opened.date[0] != '\0' ? ", opened " : "",
                 assessment->opened.date);
        paper_heading(paper, 2, heading);
    }
    for (size_t k = 0; k < inspection->count; k++)
        set_item(paper, &inspection->items[k], publishing);
    set_other_pictures(paper, assessment, publishing);
}

void sheet_untested(struct paper *paper, const struct assessment *assessment)
{
    struct listing rows = listing_of(2);
    account_untested(assessment, &rows);
    if (listing_rows(&rows) > 0)
        paper_heading(paper, 2, "What was not tested");
    sheet_pairs(paper, &rows);
    listing_free(&rows);
}
