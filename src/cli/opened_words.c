#include "cli/opened_words.h"

#include "report/account.h"
#include "report/lines.h"

static void item_words(const struct inspected *item, int width, struct text *text)
{
    struct listing rows = listing_of(2);
    account_opened(item, &rows);
    text_addf(text, "\n%s\n", item->item->title);
    if (rows.count == 0)
        text_add(text, "  nothing is said of it yet\n");
    lines_listing(&rows, width, text);
    listing_free(&rows);
}

static void weakest_words(const struct inspection *inspection, int width, struct text *text)
{
    if (inspection->weakest >= inspection->count)
        return;
    const struct inspected *item = &inspection->items[inspection->weakest];
    struct text words = TEXT_EMPTY;
    text_addf(&words, "Of what lies in the path of the current, the %s allows least: %.3g A.", item->item->title, item->limit_a);
    text_add(text, "\n");
    lines_wrap(text_string(&words), 0, width, text);
    text_free(&words);
}

static void step_words(const struct inspection_step *step, size_t number, int width, struct text *text)
{
    struct text words = TEXT_EMPTY;
    if (step->name[0] != '\0')
        text_addf(&words, "%s %s: ", opened_kind_words[step->kind], step->name);
    text_addf(&words, "%s %s", step->ask, step->why);
    text_addf(text, "%3zu. ", number);
    lines_wrap(text_string(&words), 5, width, text);
    text_free(&words);
}

static void steps_words(const struct inspection *inspection, int width, struct text *text)
{
    bool cautions = false;
    if (inspection->step_count == 0)
        return;
    text_add(text, "\nTo look at next\n");
    for (size_t k = 0; k < inspection->step_count; k++) {
        step_words(&inspection->steps[k], k + 1, width, text);
        cautions |= inspection->steps[k].caution;
    }
    if (!cautions)
        return;
    text_add(text, "\nBefore a hand goes in\n");
    for (const char *const *caution = opened_cautions; *caution != NULL; caution++) {
        text_add(text, "  ");
        lines_wrap(*caution, 2, width, text);
    }
}

void opened_words(const struct opened *opened, const struct inspection *inspection, int width, struct text *text)
{
    text_addf(text, "%zu item%s%s%s%s\n", inspection->count, inspection->count == 1 ? "" : "s",
              opened->date[0] != '\0' ? ", opened " : "", opened->date, opened->invented ? ", INVENTED" : "");
    for (size_t k = 0; k < inspection->count; k++)
        item_words(&inspection->items[k], width, text);
    weakest_words(inspection, width, text);
    steps_words(inspection, width, text);
}
