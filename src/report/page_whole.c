/* The opened case on the page, and what was not tested. */
#include "report/page_parts.h"

#include "report/account.h"
#include "report/html.h"

#include <string.h>

void page_section(struct text *html, const char *id, const char *heading)
{
    text_addf(html, "<section id=\"the-%s\" aria-labelledby=\"%s-head\">\n<h2 id=\"%s-head\">%s</h2>\n", id, id, id, heading);
}

static void add_picture(const struct publishing_picture *picture, struct text *html)
{
    text_add(html, "<figure class=\"picture\"><img alt=\"\" src=\"data:image/jpeg;base64,");
    html_base64(html, picture->jpeg);
    text_add(html, "\">\n");
    html_element(html, "figcaption", picture->caption);
    text_add(html, "</figure>\n");
}

static void add_pictures_of(const struct publishing *publishing, const char *slug, struct text *html)
{
    for (size_t k = 0; k < publishing->picture_count && !publishing->without[PUBLISH_PICTURES]; k++)
        if (strcmp(publishing->pictures[k].item, slug) == 0)
            add_picture(&publishing->pictures[k], html);
}

/* What was seen, with its pictures; beside it what it comes to. */
static void add_item(const struct inspected *item, const struct publishing *publishing, struct text *html)
{
    struct listing values = listing_of(2);
    struct text seen = TEXT_EMPTY;
    char title[sizeof item->item->title];
    account_opened_title(item, title, sizeof title);
    account_opened_seen(item, &seen);
    account_opened_values(item, &values);
    account_opened_judged(item, &values);
    text_add(html, "<div class=\"item\">\n<div>\n");
    html_element(html, "h3", title);
    html_element(html, "p class=\"soft\"", text_string(&seen));
    add_pictures_of(publishing, item->item->slug, html);
    text_add(html, "</div>\n<div>\n");
    if (item->against[0] != '\0')
        text_add(html, "<p><strong>Against the label:</strong> ");
    html_words(html, item->against);
    text_add(html, item->against[0] != '\0' ? "</p>\n" : "");
    html_element(html, "p", item->means);
    html_pairs(html, &values);
    text_add(html, "</div>\n</div>\n");
    text_free(&seen);
    listing_free(&values);
}

/* Of the sample itself, or of an item that is no longer in the paper. */
static void add_other_pictures(const struct assessment *assessment, const struct publishing *publishing, struct text *html)
{
    bool headed = false;
    for (size_t k = 0; k < publishing->picture_count && !publishing->without[PUBLISH_PICTURES]; k++) {
        const struct publishing_picture *picture = &publishing->pictures[k];
        if (picture->item[0] != '\0' && opened_named(&assessment->opened, picture->item) != NULL)
            continue;
        if (!headed)
            page_section(html, "pictures", "Pictures");
        headed = true;
        add_picture(picture, html);
    }
    if (headed)
        text_add(html, "</section>\n");
}

void page_construction(const struct assessment *assessment, const struct publishing *publishing, struct text *html)
{
    const struct inspection *inspection = &assessment->inspection;
    if (inspection->count > 0) {
        page_section(html, "construction", "Construction");
        if (assessment->opened.date[0] != '\0')
            text_addf(html, "<p class=\"soft\">Opened %s.</p>\n", assessment->opened.date);
        for (size_t k = 0; k < inspection->count; k++)
            add_item(&inspection->items[k], publishing, html);
        text_add(html, "</section>\n");
    }
    add_other_pictures(assessment, publishing, html);
}

void page_untested(const struct assessment *assessment, struct text *html)
{
    struct listing rows = listing_of(2);
    account_untested(assessment, &rows);
    if (listing_rows(&rows) > 0) {
        page_section(html, "untested", "What was not tested");
        html_pairs(html, &rows);
        text_add(html, "</section>\n");
    }
    listing_free(&rows);
}
