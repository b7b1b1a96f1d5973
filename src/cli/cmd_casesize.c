#include "cli/commands.h"

#include "base/number.h"
#include "cli/desk.h"
#include "cli/table_text.h"
#include "report/teardown_json.h"

const char casesize_about[] =
    "Holds the outside of a sample, in millimetres over the terminals, against the groups that trays and boxes are made\n"
    "for (BCI, EN): those that it fits, nearest first, or the one that its label names.\n\n"
    "  rundown casesize 329 172 214\n"
    "  rundown casesize 329 172 214 --group 31";

enum { OPT_GROUP, OPT_JSON, SHOWN = 5 };

const struct option_spec casesize_options[] = {
    [OPT_GROUP] = {"group", "NAME", "the group that the label names, `31`, `L5`"},
    [OPT_JSON] = {"json", NULL, "print as JSON"},
    {NULL, NULL, NULL},
};

struct arguments {
    double sides_mm[3];
    int sides;
    const struct case_group *group;
    bool json;
};

static enum status take_side(const char *value, struct arguments *a, struct message *message)
{
    double number;
    if (a->sides < 3 && number_is(span_of(value), '.', &number) && number > 0 && number < 5000) {
        a->sides_mm[a->sides++] = number;
        return STATUS_OK;
    }
    status_fail(message, STATUS_USAGE, a->sides < 3 ? "'%s' is no length in millimetres" : "a fourth side, '%s'", value);
    return status_remedy(message, "give length, width and height, as in `rundown casesize 329 172 214`");
}

static enum status take_group(const char *value, struct arguments *a, struct message *message)
{
    a->group = case_group_named(span_of(value));
    if (a->group != NULL)
        return STATUS_OK;
    status_fail(message, STATUS_USAGE, "no group is known by the name '%s'", value);
    struct text names = TEXT_EMPTY;
    for (size_t k = 0; k < case_group_count; k++)
        text_addf(&names, "%s%s", k > 0 ? ", " : "", case_groups[k].name);
    enum status status = status_remedy(message, "known are %s", text_string(&names));
    text_free(&names);
    return status;
}

static enum status parse(int argc, char **argv, struct arguments *a, struct message *message)
{
    struct option_walk walk = {.argc = argc, .argv = argv, .options = casesize_options};
    const char *value = NULL;
    enum status status = STATUS_OK;
    for (int k; status == STATUS_OK && (k = option_next(&walk, &value, message)) != OPTION_END;) {
        switch (k) {
        case OPTION_FAULT: return message->status;
        case OPTION_WORD: status = take_side(value, a, message); break;
        case OPT_GROUP: status = take_group(value, a, message); break;
        default: a->json = true;
        }
    }
    if (status != STATUS_OK || a->sides == 3)
        return status;
    status_fail(message, STATUS_USAGE, "a case has three sides");
    return status_remedy(message, "give length, width and height in millimetres, over the terminals");
}

int casesize_run(int argc, char **argv)
{
    struct arguments a = {0};
    struct message message;
    struct case_match matches[SHOWN];
    if (parse(argc, argv, &a, &message) != STATUS_OK)
        return cli_fail(&message);
    size_t count = 1;
    if (a.group != NULL)
        matches[0] = case_size_hold(a.group, a.sides_mm[0], a.sides_mm[1], a.sides_mm[2], 2);
    else
        count = case_size_find(a.sides_mm[0], a.sides_mm[1], a.sides_mm[2], matches, SHOWN);
    struct text text = TEXT_EMPTY;
    if (a.json) {
        json_t *all = json_object();
        json_put(all, "groups", case_match_json(matches, count));
        json_finish(all, &text);
    } else {
        struct listing rows = listing_of(4);
        case_match_account(matches, count, &rows);
        table_text(&rows, 0, &text);
        listing_free(&rows);
    }
    enum status status = desk_print(&text, &message);
    text_free(&text);
    return status == STATUS_OK ? STATUS_OK : cli_fail(&message);
}
