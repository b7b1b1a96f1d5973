#include "intake/columns.h"

#include "base/memory.h"
#include "intake/cells.h"
#include "intake/choice.h"
#include "intake/evidence.h"
#include "intake/header_words.h"
#include "intake/time_column.h"

void choice_take(struct chooser *chooser, int column, enum column_role role, enum channel channel,
                 const char *why)
{
    struct column_choice *choice = &chooser->out->choices[column];
    const struct header *header = &chooser->headers[column];
    choice->role = role;
    choice->channel = channel;
    choice->factor = 1;
    chooser->units[column] = (struct unit){QUANTITY_NONE, 1, 0};
    bool same = role == COLUMN_CHANNEL
                    ? header->has_unit && header->unit.quantity == channel_quantity(channel)
                    : header->has_unit && header->unit.quantity == QUANTITY_TIME;
    if (same) {
        chooser->units[column] = header->unit;
        choice->factor = header->unit.factor;
        snprintf(choice->unit, sizeof choice->unit, "%s", header->unit_text);
    }
    snprintf(choice->why, sizeof choice->why, "%s", why);
    chooser->taken[column] = true;
}

static bool all_digits(const char *s)
{
    return s[0] != '\0' && strspn(s, "0123456789") == strlen(s);
}

/* A header without its unit, as far as that is in brackets or behind a slash or comma. */
static struct span bare_name(const char *header)
{
    return span_trim((struct span){header, strcspn(header, "([{</,")});
}

/* Columns with this header, whole or without its unit: how many there are, and the first two. */
static size_t find_named(const struct chooser *chooser, const char *name, bool whole, int *found)
{
    size_t count = 0;
    for (int k = 0; k < (int)chooser->out->count; k++) {
        const char *header = chooser->out->choices[k].header;
        struct span text = whole ? span_of(header) : bare_name(header);
        if (text.n == 0 || !span_is_word(text, name))
            continue;
        if (count < 2)
            found[count] = k;
        count++;
    }
    return count;
}

/* The column a wish names, from 0. A number is a number before it is a header. */
static enum status find_wished(const struct chooser *chooser, const struct column_wish *wish, int *ret_column,
                               struct message *message)
{
    const char *option = role_option(wish->role, wish->channel);
    long number = all_digits(wish->name) ? strtol(wish->name, NULL, 10) : 0;
    if (number >= 1 && number <= (long)chooser->out->count) {
        *ret_column = (int)number - 1;
        return STATUS_OK;
    }
    int found[2];
    size_t count = find_named(chooser, wish->name, true, found);
    if (count == 0)
        count = find_named(chooser, wish->name, false, found);
    if (count == 1) {
        *ret_column = found[0];
        return STATUS_OK;
    }
    if (count > 1) {
        status_fail(message, STATUS_AMBIGUOUS, "several columns have the header '%s'", wish->name);
        status_remedy(message, "give the number: --column %s=%d or --column %s=%d", option, found[0] + 1,
                      option, found[1] + 1);
        return status_at(message, chooser->name, chooser->header_line, 0);
    }
    char row[300];
    evidence_first_row(chooser->layout, row, sizeof row);
    status_fail(message, STATUS_USAGE, "--column %s=%s: the log has no such column", option, wish->name);
    status_remedy(message, "it has %zu; its first row is %s", chooser->out->count, row);
    return status_at(message, chooser->name, chooser->layout->data_line, 0);
}

static enum status apply_wish(struct chooser *chooser, const struct column_wish *wish,
                              struct message *message)
{
    int column = -1;
    enum status status = find_wished(chooser, wish, &column, message);
    if (status != STATUS_OK)
        return status;
    int before = wish->role == COLUMN_UNUSED ? -1 : choice_of(chooser, wish->role, wish->channel);
    if (chooser->taken[column] || before >= 0) {
        status_fail(message, STATUS_USAGE, "--column %s=%s: %s", role_option(wish->role, wish->channel),
                    wish->name,
                    before >= 0 ? "another column was asked for as that"
                                : "that column was asked for as something else");
        return status_remedy(message, "give each quantity and each column once");
    }
    char why[64];
    snprintf(why, sizeof why, "asked for as %s", role_name(wish->role, wish->channel));
    choice_take(chooser, column, wish->role, wish->channel, why);
    chooser->asked[column] = true;
    enum quantity wanted = wish->role == COLUMN_CHANNEL ? channel_quantity(wish->channel) : QUANTITY_TIME;
    struct unit unit;
    if (wish->detail[0] != '\0' && unit_find(span_of(wish->detail), &unit)) {
        if (unit.quantity != wanted) {
            status_fail(message, STATUS_USAGE, "--column %s=%s:%s: not a unit of %s",
                        role_option(wish->role, wish->channel), wish->name, wish->detail,
                        quantity_name(wanted));
            return status_remedy(message, "write the unit as in --column current=2:mA");
        }
        chooser->units[column] = unit;
        chooser->out->choices[column].factor = unit.factor;
        snprintf(chooser->out->choices[column].unit, sizeof chooser->out->choices[column].unit, "%s",
                 wish->detail);
    } else if (wish->detail[0] != '\0') {
        snprintf(chooser->time_detail, sizeof chooser->time_detail, "%s", wish->detail);
    }
    return STATUS_OK;
}

int choice_of(const struct chooser *chooser, enum column_role role, enum channel channel)
{
    for (size_t k = 0; k < chooser->out->count; k++) {
        const struct column_choice *choice = &chooser->out->choices[k];
        if (chooser->taken[k] && choice->role == role &&
            (role != COLUMN_CHANNEL || choice->channel == channel))
            return (int)k;
    }
    return -1;
}

/* Names come from the header; failing that, from a preamble line that lists the columns. */
static void name_columns(struct chooser *chooser)
{
    const struct log_layout *layout = chooser->layout;
    char(*names)[96] = memory_get(LAYOUT_COLUMNS * sizeof *names);
    bool volts_or_amps = false;
    chooser->shifted = layout->header_columns > 0 && layout->header_columns < layout->columns;
    for (size_t k = 0; k < chooser->out->count; k++) {
        snprintf(chooser->out->choices[k].header, sizeof chooser->out->choices[k].header, "%s",
                 chooser->shifted ? "" : layout->names[k]);
        chooser->headers[k] =
            header_read(chooser->out->choices[k].header, chooser->shifted ? "" : layout->units_below[k]);
        volts_or_amps |=
            chooser->headers[k].role == COLUMN_CHANNEL && chooser->headers[k].channel <= CHANNEL_POWER;
    }
    chooser->header_line = layout->header >= 0 ? layout->lines[layout->header].number : 0;
    if (!volts_or_amps && (chooser->list_line = evidence_list(layout, names)) > 0)
        for (size_t k = 0; k < layout->columns; k++) {
            struct header *header = &chooser->headers[k];
            *header = header_read(names[k], layout->units_below[k]);
            snprintf(header->why, sizeof header->why, "line %ld lists the columns: %.40s", chooser->list_line,
                     names[k]);
        }
    free(names);
}

static size_t candidates(const struct chooser *chooser, enum channel channel, int *found, size_t room)
{
    enum header_rank best = RANK_UNIT;
    size_t count = 0;
    for (size_t k = 0; k < chooser->out->count; k++) {
        const struct header *header = &chooser->headers[k];
        if (chooser->taken[k] || header->role != COLUMN_CHANNEL || header->channel != channel ||
            header->rank < best)
            continue;
        if (chooser->looks[k].numbers == 0 || chooser->looks[k].words > chooser->looks[k].numbers)
            continue;
        if (header->rank > best)
            count = 0;
        best = header->rank;
        bool same = false;
        for (size_t j = 0; j < count && j < room; j++)
            same |= evidence_same(chooser->layout, (size_t)found[j], k);
        if (!same && count < room)
            found[count++] = (int)k;
    }
    return count;
}

static enum status refuse_two(const struct chooser *chooser, enum channel channel, const int *found,
                              size_t count, struct message *message)
{
    struct text list = TEXT_EMPTY, remedy = TEXT_EMPTY;
    for (size_t k = 0; k < count && k < 6; k++) {
        text_addf(&list, "%s%d '%s'", k > 0 ? ", " : "", found[k] + 1,
                  chooser->out->choices[found[k]].header);
        text_addf(&remedy, "%s--column %s=%d", k > 0 ? " or " : "", role_option(COLUMN_CHANNEL, channel),
                  found[k] + 1);
    }
    status_fail(message, STATUS_AMBIGUOUS, "several columns could each be the %s: %s", channel_name(channel),
                text_string(&list));
    status_remedy(message, "say which is the sample's: %s", text_string(&remedy));
    text_free(&list);
    text_free(&remedy);
    return status_at(message, chooser->name, chooser->header_line, 0);
}

static enum status choose_channel(struct chooser *chooser, enum channel channel, struct message *message)
{
    int found[16];
    if (choice_of(chooser, COLUMN_CHANNEL, channel) >= 0)
        return STATUS_OK;
    size_t count = candidates(chooser, channel, found, sizeof found / sizeof *found);
    if (count == 0)
        return STATUS_OK;
    if (count > 1 && (channel == CHANNEL_VOLTAGE || channel == CHANNEL_CURRENT))
        return refuse_two(chooser, channel, found, count, message);
    if (count > 1)
        notices_add(
            chooser->notices, "columns", chooser->header_line,
            "%zu columns could be the %s; the first, column %d '%s', is taken. --column %s=N takes another.",
            count, channel_name(channel), found[0] + 1, chooser->out->choices[found[0]].header,
            role_option(COLUMN_CHANNEL, channel));
    choice_take(chooser, found[0], COLUMN_CHANNEL, channel, chooser->headers[found[0]].why);
    return STATUS_OK;
}

/* Columns of words: a mode's cells must say charge, discharge or rest. */
static void choose_words(struct chooser *chooser)
{
    for (size_t k = 0; k < chooser->out->count; k++) {
        enum column_role role = chooser->headers[k].role;
        const struct column_look *look = &chooser->looks[k];
        bool modes =
            look->words > 0 && 10 * look->modes >= 9 * look->words && look->numbers + look->times == 0;
        bool unnamed = chooser->out->choices[k].header[0] == '\0' && look->missing == 0;
        if (chooser->taken[k])
            continue;
        if ((role == COLUMN_MODE || unnamed) && modes && choice_of(chooser, COLUMN_MODE, 0) < 0)
            choice_take(chooser, (int)k, COLUMN_MODE, 0, "its words say charge, discharge and rest");
        else if ((role == COLUMN_MARK || role == COLUMN_MODE) && choice_of(chooser, COLUMN_MARK, 0) < 0 &&
                 look->numbers == 0)
            choice_take(chooser, (int)k, COLUMN_MARK, 0, chooser->headers[k].why);
        else if (role == COLUMN_STEP && choice_of(chooser, COLUMN_STEP, 0) < 0 && look->missing == 0 &&
                 (2 * look->changes < look->numbers + look->words ||
                  look->changes < 8)) /* else it counts rows */
            choice_take(chooser, (int)k, COLUMN_STEP, 0, chooser->headers[k].why);
    }
}

/* Nothing tells volts and amps: the refusal shows the first row and the option, with the numbers' own
 * evidence where there is some. */
static enum status refuse_nothing(const struct chooser *chooser, struct message *message)
{
    const struct log_layout *layout = chooser->layout;
    char row[240];
    evidence_first_row(layout, row, sizeof row);
    const char *why = chooser->shifted     ? "the header names fewer columns than the rows have"
                      : layout->header < 0 ? "there is no header"
                                           : "no word of the header tells";
    struct proposal proposal = evidence_propose(layout);
    int time = choice_of(chooser, COLUMN_TIME, 0) >= 0 ? choice_of(chooser, COLUMN_TIME, 0) : proposal.time;
    status_fail(message, STATUS_AMBIGUOUS,
                "no voltage or current column can be told: %s. The first row is %s", why, row);
    char clock[64] = "--period 1s (or what it is)";
    if (time >= 0)
        snprintf(clock, sizeof clock, "--column time=%d", time + 1);
    if (proposal.power >= 0)
        status_remedy(
            message,
            "say which they are; column %d is the product of %d and %d, so perhaps: %s --column voltage=%d "
            "--column current=%d",
            proposal.power + 1, proposal.voltage + 1, proposal.current + 1, clock, proposal.voltage + 1,
            proposal.current + 1);
    else
        status_remedy(
            message,
            "say which they are: %s --column voltage=N --column current=N, counting from 1; without volts or "
            "amps there is nothing to assess",
            clock);
    return status_at(message, chooser->name, layout->data_line, 0);
}

static enum status check_enough(struct chooser *chooser, struct message *message)
{
    bool volts = choice_of(chooser, COLUMN_CHANNEL, CHANNEL_VOLTAGE) >= 0;
    bool amps = choice_of(chooser, COLUMN_CHANNEL, CHANNEL_CURRENT) >= 0;
    bool watts = choice_of(chooser, COLUMN_CHANNEL, CHANNEL_POWER) >= 0;
    if (!volts && !amps)
        return refuse_nothing(chooser, message);
    if (!volts || (!amps && !watts))
        notices_add(chooser->notices, "columns", chooser->header_line,
                    "No %s column is recognised. If there is one, name it: --column %s=N.",
                    volts ? "current" : "voltage", volts ? "current" : "voltage");
    return STATUS_OK;
}

/* The fewest cells that several rows have; a last row cut off by a crash has fewer. */
static size_t least_cells(const struct log_layout *layout, size_t used)
{
    struct span cells[LAYOUT_COLUMNS];
    size_t rows[LAYOUT_COLUMNS + 1] = {0}, all = layout->line_count - layout->preamble_count, shorter = 0;
    for (size_t k = layout->preamble_count; k < layout->line_count; k++)
        rows[log_layout_cells(layout, &layout->lines[k], cells)]++;
    for (size_t n = 2; n < used; n++) {
        shorter += rows[n];
        if (shorter > 1 && 50 * shorter >= all)
            return n;
    }
    return used;
}

static void build_plan(struct chooser *chooser)
{
    struct row_plan *plan = &chooser->out->plan;
    size_t count = 0;
    plan->layout = chooser->layout;
    for (size_t k = 0; k < chooser->out->count; k++)
        if (chooser->taken[k] && chooser->out->choices[k].role != COLUMN_UNUSED)
            count = k + 1;
    plan->tasks = memory_get((count + 1) * sizeof *plan->tasks);
    plan->task_count = count;
    for (size_t k = 0; k < count; k++) {
        const struct column_choice *choice = &chooser->out->choices[k];
        plan->tasks[k] = (struct cell_task){.unit = {QUANTITY_NONE, 1, 0}};
        if (chooser->taken[k])
            plan->tasks[k] = (struct cell_task){choice->role, choice->channel, chooser->units[k]};
        if (chooser->taken[k] && choice->role == COLUMN_CHANNEL)
            chooser->out->typed_decimals[choice->channel] = chooser->looks[k].decimals;
    }
    plan->least_cells = least_cells(chooser->layout, count);
    plan->most_cells =
        chooser->out->count > chooser->layout->cells ? chooser->out->count : chooser->layout->cells;
}

static void explain_unused(struct chooser *chooser)
{
    for (size_t k = 0; k < chooser->out->count; k++) {
        struct column_choice *choice = &chooser->out->choices[k];
        const struct header *header = &chooser->headers[k];
        choice->number = (int)k + 1;
        if (chooser->taken[k])
            continue;
        choice->factor = 1;
        if (chooser->out->plan.period_s > 0 &&
            (header->role == COLUMN_TIME || header->role == COLUMN_STEP_TIME))
            snprintf(choice->why, sizeof choice->why, "not used: rows are counted, %g s apart",
                     chooser->out->plan.period_s);
        else if (header->role == COLUMN_UNUSED && choice->header[0] == '\0')
            snprintf(choice->why, sizeof choice->why, "not used: it has no header");
        else if (header->role == COLUMN_UNUSED)
            snprintf(choice->why, sizeof choice->why, "%s", header->why);
        else if (chooser->looks[k].numbers == 0)
            snprintf(choice->why, sizeof choice->why, "not used: its cells hold no numbers");
        else if (header->rank == RANK_NEVER)
            snprintf(choice->why, sizeof choice->why, "not used: %.60s, but not the sample's own",
                     header->why);
        else
            snprintf(choice->why, sizeof choice->why, "not used: %.60s, but another column serves",
                     header->why);
    }
}

static void find_sign(struct chooser *chooser)
{
    int column = choice_of(chooser, COLUMN_CHANNEL, CHANNEL_CURRENT);
    if (column < 0)
        return;
    const struct header *header = &chooser->headers[column];
    int sign = header_sign(span_of(chooser->out->choices[column].header));
    if (sign == 0)
        sign = header->discharge_only ? 1 : header->charge_only ? -1 : evidence_sign(chooser->layout);
    chooser->out->sign = sign > 0   ? SIGN_DISCHARGE_POSITIVE
                         : sign < 0 ? SIGN_CHARGE_POSITIVE
                                    : SIGN_NOT_STATED;
}

static enum status choose_all(struct chooser *chooser, const struct log_options *options,
                              struct message *message)
{
    enum status status = STATUS_OK;
    name_columns(chooser);
    evidence_look(chooser->layout, chooser->out->count, chooser->looks);
    for (size_t k = 0; k < options->wish_count && status == STATUS_OK; k++)
        status = apply_wish(chooser, &options->wishes[k], message);
    for (int c = 0; c < CHANNELS && status == STATUS_OK; c++)
        status = choose_channel(chooser, (enum channel)c, message);
    if (status == STATUS_OK)
        choose_words(chooser);
    if (status == STATUS_OK)
        status = check_enough(chooser, message);
    if (status == STATUS_OK)
        status = time_column_find(chooser, options->period_s, message);
    return status;
}

enum status columns_find(const struct log_layout *layout, const char *name, const struct log_options *options,
                         struct columns *ret_columns, struct notices *notices, struct message *message)
{
    size_t count = layout->columns > layout->header_columns ? layout->columns : layout->header_columns;
    struct columns columns = {.count = count, .start_utc_s = NAN, .plan = {.time = -1, .date = -1}};
    struct chooser chooser = {.layout = layout, .name = name, .notices = notices, .out = &columns};
    columns.choices = memory_get(count * sizeof *columns.choices);
    chooser.headers = memory_get(count * sizeof *chooser.headers);
    chooser.looks = memory_get(count * sizeof *chooser.looks);
    chooser.units = memory_get(count * sizeof *chooser.units);
    chooser.taken = memory_get(count * sizeof *chooser.taken);
    chooser.asked = memory_get(count * sizeof *chooser.asked);
    enum status status = choose_all(&chooser, options, message);
    if (status == STATUS_OK) {
        find_sign(&chooser);
        explain_unused(&chooser);
        build_plan(&chooser);
        *ret_columns = columns;
    } else {
        columns_free(&columns);
    }
    free(chooser.headers);
    free(chooser.looks);
    free(chooser.units);
    free(chooser.taken);
    free(chooser.asked);
    return status;
}

void columns_free(struct columns *columns)
{
    free(columns->choices);
    free(columns->plan.tasks);
    columns->choices = NULL;
    columns->plan.tasks = NULL;
}
