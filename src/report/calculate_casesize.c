#include "report/calculate_parts.h"
#include "report/teardown_json.h"

#include "base/memory.h"

#include <math.h>
#include <string.h>

enum { SHOWN = 5 };
static const double slack_mm = 2; /* of a tape on a bulged case */
static const char *const side_names[] = {"length", "width", "height"};

struct asked {
    double sides_m[3]; /* NaN: not said */
    const struct case_group *group;
};

static void *begin(void)
{
    struct asked *asked = memory_get(sizeof *asked);
    *asked = (struct asked){.sides_m = {NAN, NAN, NAN}};
    return asked;
}

static enum status take_side(int side, const char *value, struct asked *asked, struct message *message)
{
    if (side == 3)
        return status_fail(message, STATUS_USAGE, "a fourth side, '%s'", value);
    struct calculate_amount amount = {side_names[side], "329 mm", QUANTITY_LENGTH, 1e-3, 0, 5};
    return calculate_take(&amount, value, &asked->sides_m[side], message);
}

static enum status take_group(const char *value, struct asked *asked, struct message *message)
{
    asked->group = case_group_named(span_of(value));
    if (asked->group != NULL)
        return STATUS_OK;
    status_fail(message, STATUS_USAGE, "no group is known by the name '%s'", value);
    struct text names = TEXT_EMPTY;
    for (size_t k = 0; k < case_group_count; k++)
        text_addf(&names, "%s%s", k > 0 ? ", " : "", case_groups[k].name);
    enum status status = status_remedy(message, "known are %s", text_string(&names));
    text_free(&names);
    return status;
}

static enum status take(void *context, const char *field, const char *value, struct message *message)
{
    struct asked *asked = context;
    if (strcmp(field, "group") == 0)
        return take_group(value, asked, message);
    int side = 0;
    while (side < 3 && strcmp(field, side_names[side]) != 0)
        side++;
    for (int k = 0; side == 3 && k < 3; k++) /* a side without its name is the next */
        if (isnan(asked->sides_m[k]))
            side = k;
    return take_side(side, value, asked, message);
}

static enum status answer(const void *context, struct calculated *calculated, struct message *message)
{
    const struct asked *asked = context;
    const double mm[3] = {asked->sides_m[0] * 1000, asked->sides_m[1] * 1000, asked->sides_m[2] * 1000};
    struct case_match matches[SHOWN];
    size_t count = 1;
    if (isnan(mm[0]) || isnan(mm[1]) || isnan(mm[2])) {
        status_fail(message, STATUS_USAGE, "a case has three sides");
        return status_remedy(message, "give length, width and height in millimetres, over the terminals");
    }
    if (asked->group != NULL)
        matches[0] = case_size_hold(asked->group, mm[0], mm[1], mm[2], slack_mm);
    else
        count = case_size_find(mm[0], mm[1], mm[2], matches, SHOWN);
    listing_free(&calculated->rows);
    calculated->rows = listing_of(4);
    case_match_account(matches, count, &calculated->rows);
    calculated->json = json_object();
    json_put(calculated->json, "groups", case_match_json(matches, count));
    listing_add(&calculated->assumed, "Sides over the terminals; up to %g mm over counts as fitting.", slack_mm);
    return STATUS_OK;
}

static const char *const fields[] = {"side", "length", "width", "height", "group", NULL};
static const char *const sources[] = {
    "Outlines of the BCI groups 24, 27, 31, 34, 35 and 65: a dealer's table; of all others, and of EN 50342-2: from memory.",
    NULL};
const struct calculation calculate_casesize = {.name = "casesize", .word = "side", .fields = fields,
                                               .method = "docs/teardown.md", .sources = sources, .begin = begin,
                                               .take = take, .answer = answer};
