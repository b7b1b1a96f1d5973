#include "cli/calculating.h"

#include "cli/desk.h"
#include "cli/table_text.h"
#include "report/json_parts.h"
#include "report/lines.h"

enum { WIDTH = 100 };

static enum status parse(const struct calculation *calculation, struct option_walk *walk, calculating_picture *take_picture,
                         void *asked, bool *ret_json, struct message *message)
{
    const char *value = NULL;
    enum status status = STATUS_OK;
    for (int k; status == STATUS_OK && (k = option_next(walk, &value, message)) != OPTION_END;) {
        if (k == OPTION_FAULT)
            return message->status;
        const char *field = k == OPTION_WORD ? calculation->word : walk->options[k].name;
        if (strcmp(field, "json") == 0)
            *ret_json = true;
        else if (take_picture != NULL && strcmp(field, "picture") == 0)
            status = take_picture(calculation, asked, value, message);
        else
            status = calculation->take(asked, field, k != OPTION_WORD && walk->options[k].argument == NULL ? "yes" : value, message);
    }
    return status;
}

/* Sentences under one heading, each on lines of its own. */
static void add_said(const char *heading, const char *sentence, bool first, struct text *text)
{
    text_addf(text, "%s%-9s", first ? "\n" : "", first ? heading : "");
    lines_wrap(sentence, 9, WIDTH, text);
}

static enum status print(const struct calculation *calculation, const struct calculated *calculated, bool json, struct message *message)
{
    struct text text = TEXT_EMPTY;
    if (json) {
        json_finish(json_incref(calculated->json), &text);
    } else {
        table_text(&calculated->rows, 0, &text);
        for (size_t k = 0; k < listing_rows(&calculated->assumed); k++)
            add_said("Taken:", listing_cell(&calculated->assumed, k, 0), k == 0, &text);
        for (const char *const *source = calculation->sources; *source != NULL; source++)
            add_said("From:", *source, source == calculation->sources, &text);
        if (calculation->caution != NULL)
            add_said("Caution:", calculation->caution, true, &text);
    }
    enum status status = desk_print(&text, message);
    text_free(&text);
    return status;
}

int calculating_run(const char *name, const struct option_spec *options, calculating_picture *take_picture, int argc,
                    char **argv)
{
    const struct calculation *calculation = calculation_named(name);
    struct option_walk walk = {.argc = argc, .argv = argv, .options = options};
    struct calculated calculated = {0};
    struct message message;
    bool json = false;
    void *asked = calculation->begin();
    enum status status = parse(calculation, &walk, take_picture, asked, &json, &message);
    if (status == STATUS_OK)
        status = calculate(calculation, asked, &calculated, &message);
    if (status == STATUS_OK)
        status = print(calculation, &calculated, json, &message);
    calculated_free(&calculated);
    free(asked);
    return status == STATUS_OK ? STATUS_OK : cli_fail(&message);
}
