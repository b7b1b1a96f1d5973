/* The opened case on the sheet: item by item what was seen, what it comes to, and what it means. */
#include "report/sheet_parts.h"

#include "base/memory.h"
#include "image/image.h"
#include "report/account.h"

#define MOST_HIGH 150.0 /* points of a picture */

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
    paper_photograph(paper, &(struct paper_photograph){pixels, width, height, picture->jpeg, picture->caption}, 0, MOST_HIGH);
    free(pixels);
    image_free(image);
}

static void set_pictures_of(struct paper *paper, const struct publishing *publishing, const char *slug)
{
    for (size_t k = 0; k < publishing->picture_count && !publishing->without[PUBLISH_PICTURES]; k++)
        if (strcmp(publishing->pictures[k].item, slug) == 0)
            set_picture(paper, &publishing->pictures[k]);
}

static void head_item(struct paper *paper, const struct inspected *item)
{
    char title[sizeof item->item->title];
    account_opened_title(item, title, sizeof title);
    paper_heading(paper, 3, title);
}

/* Strong or plain, after its name; nothing where there are no words. */
static void set_words(struct paper *paper, const char *name, const char *words, bool strong)
{
    struct text all = TEXT_EMPTY;
    if (words[0] == '\0')
        return;
    text_addf(&all, "%s%s%s%s", strong ? PAPER_STRONG : "", name, words, strong ? PAPER_PLAIN : "");
    paper_paragraph(paper, PAPER_BODY, text_string(&all));
    text_free(&all);
}

/* Left what was seen, with its pictures; right what it comes to, unless a table has it. */
static void set_item(struct paper *paper, const struct sheet *sheet, const struct inspected *item, bool in_table)
{
    static const double shares[] = {1, 2};
    struct listing values = listing_of(2), judged = listing_of(2);
    struct text seen = TEXT_EMPTY;
    account_opened_seen(item, &seen);
    if (!in_table)
        account_opened_values(item, &values);
    account_opened_judged(item, &judged);
    paper_columns(paper, 2, shares, SHEET_COLUMN_GAP);
    head_item(paper, item);
    if (seen.length > 0)
        paper_paragraph(paper, PAPER_NOTE, seen.s);
    set_pictures_of(paper, sheet->publishing, item->item->slug);
    paper_next_column(paper);
    set_words(paper, "Against the label: ", item->against, true);
    set_words(paper, "", item->means, false);
    sheet_pairs(paper, &values);
    sheet_pairs(paper, &judged);
    paper_columns_end(paper);
    text_free(&seen);
    listing_free(&values);
    listing_free(&judged);
}

static void set_conductors(struct paper *paper, const struct inspection *inside)
{
    const struct inspected *items[ACCOUNT_BESIDE];
    struct listing rows;
    for (size_t had = 0, count; (count = account_conductors(inside, had, items, &rows)) > 0; had += count) {
        struct paper_column columns[ACCOUNT_BESIDE + 1] = {{"", ANCHOR_START, 1.2}};
        char titles[ACCOUNT_BESIDE][sizeof items[0]->item->title];
        for (size_t k = 0; k < count; k++) {
            account_opened_title(items[k], titles[k], sizeof titles[k]);
            columns[k + 1] = (struct paper_column){titles[k], ANCHOR_START, 1};
        }
        sheet_table(paper, columns, &rows);
        listing_free(&rows);
    }
    listing_free(&rows);
}

/* Pictures of the sample itself, or of an item that is no longer in the paper; two and two. */
static void set_other_pictures(struct paper *paper, const struct sheet *sheet)
{
    const struct publishing *publishing = sheet->publishing;
    size_t count = 0;
    for (size_t k = 0; k < publishing->picture_count && !publishing->without[PUBLISH_PICTURES]; k++) {
        const struct publishing_picture *picture = &publishing->pictures[k];
        if (picture->item[0] != '\0' && opened_named(&sheet->assessment->opened, picture->item) != NULL)
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

void sheet_construction(struct paper *paper, const struct sheet *sheet)
{
    const struct inspection *inside = &sheet->assessment->inspection;
    const char *date = sheet->assessment->opened.date;
    char heading[96];
    snprintf(heading, sizeof heading, "Construction%s%s", date[0] != '\0' ? ", opened " : "", date);
    if (inside->count > 0)
        paper_heading(paper, 2, heading);
    for (size_t k = 0; k < inside->count; k++) {
        if (k > 0)
            paper_rule(paper, INK_HAIR, 0.4);
        bool last, beside = account_beside(inside, &inside->items[k], &last);
        set_item(paper, sheet, &inside->items[k], beside);
        if (beside && last)
            set_conductors(paper, inside);
    }
    set_other_pictures(paper, sheet);
}
