#include "teardown/inspection.h"

#include "base/memory.h"
#include "numeric/budget.h"
#include "teardown/inspect_parts.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* A closed case at its rated current keeps its air some way above that outside, and its board above that: common
 * practice, no source, and so in doubt by half of it. */
static const double case_air_k = 15, board_k = 20, usual_outside_degc = 25;

struct rated rated_nothing(void)
{
    return (struct rated){.continuous_a = NAN, .peak_a = NAN, .charge_a = NAN, .peak_s = NAN, .rated_ah = NAN,
                          .rated_wh = NAN, .nominal_v = NAN, .mass_kg = NAN, .length_mm = NAN, .width_mm = NAN,
                          .height_mm = NAN, .air_degc = NAN};
}

/* Facts from OSHA's and universities' bulletins on lithium cells; the words are ours. */
const char *const opened_cautions[] = {
    "Open a case only when the sample is nearly empty, and its charger and load are off. A maker's warranty ends with it.",
    "Cells cannot be switched off: a tool across two poles draws hundreds of amperes, which burn and throw molten metal.",
    "Take off rings, watches and chains; wear eye protection and dry insulating gloves; use insulated tools.",
    "Cover with an insulating sheet whatever is not being worked on; undo one pole, cover it, then the next.",
    "Cut nothing blind: a slipped blade opens a cell, whose gas burns and is toxic. Stop at swelling, hiss, smell or heat.",
    "Work where a burning pack can burn out by itself, with somebody else near. Do not ship, sell or use it again.",
    "From about 50 V on a shock can kill too. Local codes and licensed practice stand above this list.",
    NULL,
};

struct opened_look look_at(const struct inspecting *in, const struct inspected *item)
{
    return (struct opened_look){in->opened, item->item, in->message};
}

static struct inspected_value *next_value(struct inspected *item)
{
    return &item->values[item->value_count < INSPECTED_VALUES ? item->value_count++ : INSPECTED_VALUES - 1];
}

void say_measure(struct inspected *item, enum quantity quantity, const struct measure *measure, const char *what, ...)
{
    struct inspected_value *value = next_value(item);
    va_list args;
    *value = (struct inspected_value){.quantity = quantity, .measure = *measure};
    va_start(args, what);
    vsnprintf(value->what, sizeof value->what, what, args);
    va_end(args);
}

void say_words(struct inspected *item, const char *what, const char *words, ...)
{
    struct inspected_value *value = next_value(item);
    va_list args;
    *value = (struct inspected_value){.quantity = QUANTITY_NONE, .measure = measure_unknown("told in words")};
    snprintf(value->what, sizeof value->what, "%s", what);
    va_start(args, words);
    vsnprintf(value->words, sizeof value->words, words, args);
    va_end(args);
}

__attribute__((format(printf, 3, 0)))
static void add_sentence(char *buffer, size_t size, const char *words, va_list args)
{
    size_t used = strlen(buffer);
    if (used > 0 && used + 1 < size)
        buffer[used++] = ' ';
    vsnprintf(buffer + used, size - used, words, args);
}

void say_means(struct inspected *item, const char *words, ...)
{
    va_list args;
    va_start(args, words);
    add_sentence(item->means, sizeof item->means, words, args);
    va_end(args);
}

void say_against(struct inspected *item, enum rated_part part, const char *words, ...)
{
    size_t used = strlen(item->against), begin = used > 0 ? used + 1 : 0;
    va_list args;
    va_start(args, words);
    add_sentence(item->against, sizeof item->against, words, args);
    va_end(args);
    if (item->part_count < INSPECTED_AGAINST) {
        item->parts[item->part_count].part = part;
        item->parts[item->part_count].begin = begin;
        item->parts[item->part_count++].length = strlen(item->against) - begin;
    }
}

struct measure exactly(double value)
{
    struct measure measure = measure_of(value);
    budget_close(&measure);
    return measure;
}

struct measure within_half(double value, double half, const char *what)
{
    struct measure measure = measure_of(value);
    measure_part(&measure, (struct part){.cause = CAUSE_RESOLUTION, .shape = SHAPE_RECTANGULAR, .u = half / sqrt(3),
                                         .dof = INFINITY, .what = what, .remedy = ""});
    budget_close(&measure);
    return measure;
}

bool in_the_path(const struct opened_item *item)
{
    switch (item->kind) {
    case OPENED_FUSE:
    case OPENED_BOARD: return true;
    case OPENED_CONDUCTOR:
    case OPENED_BUS_BAR:
        return !opened_says(item, "path", "balance") && !opened_says(item, "path", "sensor") &&
               !opened_says(item, "path", "heater") && !opened_says(item, "path", "other");
    default: return false;
    }
}

/* Temperatures that the leads are held by, from whichever item has them. */
static enum status find_surroundings(struct inspecting *in)
{
    struct surroundings *around = &in->around;
    struct opened_amount inside = {.value = NAN}, outside = {.value = NAN}, board = {.value = NAN}, print = {.value = NAN};
    enum status status = STATUS_OK;
    for (size_t k = 0; status == STATUS_OK && k < in->opened->count; k++) {
        struct opened_look look = {in->opened, &in->opened->items[k], in->message};
        if (look.item->kind == OPENED_CASE && isnan(inside.value)) {
            status = opened_amount(&look, "inside air", QUANTITY_TEMPERATURE, &inside);
            if (status == STATUS_OK)
                status = opened_amount(&look, "outside air", QUANTITY_TEMPERATURE, &outside);
        }
        if (status == STATUS_OK && look.item->kind == OPENED_BOARD && isnan(board.value))
            status = opened_amount(&look, "hottest", QUANTITY_TEMPERATURE, &board);
        if (status == STATUS_OK && look.item->kind == OPENED_BOARD && isnan(print.value))
            status = opened_amount(&look, "rating", QUANTITY_CURRENT, &print);
    }
    around->at_a = !isnan(in->rated->continuous_a) ? in->rated->continuous_a : print.value;
    around->outside_degc = !isnan(outside.value)           ? outside.value
                           : !isnan(in->rated->air_degc) ? in->rated->air_degc
                                                         : usual_outside_degc;
    around->inside_read = !isnan(inside.value);
    around->inside_degc = around->inside_read ? inside.value : around->outside_degc + case_air_k;
    around->board_read = !isnan(board.value);
    around->board_degc = around->board_read ? board.value : around->inside_degc + board_k;
    return status;
}

static enum status inspect_one(struct inspecting *in, struct inspected *item)
{
    switch (item->item->kind) {
    case OPENED_CONDUCTOR:
    case OPENED_BUS_BAR:
    case OPENED_BALANCE_LEADS: return inspect_conductor(in, item);
    case OPENED_FUSE:
    case OPENED_BOARD: return inspect_protection(in, item);
    case OPENED_SENSOR: return inspect_sensor(in, item);
    case OPENED_CELLS: return inspect_cells(in, item);
    default: return inspect_case(in, item);
    }
}

static void find_weakest(struct inspection *found)
{
    for (size_t k = 0; k < found->count; k++) {
        double limit_a = found->items[k].limit_a;
        if (!isnan(limit_a) && in_the_path(found->items[k].item) && !(limit_a >= found->weakest_a)) {
            found->weakest_a = limit_a;
            found->weakest = k;
        }
    }
}

enum status inspect(const struct opened *opened, const struct rated *rated, struct inspection *ret_inspection,
                    struct message *message)
{
    struct measure none = measure_unknown("not noted with the opened case");
    struct inspection found = {.weakest_a = NAN, .weakest = SIZE_MAX, .mass_kg = none, .sides_m = {none, none, none}};
    struct inspecting in = {.opened = opened, .rated = rated, .out = &found, .message = message};
    enum status status = find_surroundings(&in);
    bool tested = rated->test_year != 0;
    found.year = tested ? rated->test_year : opened->year;
    found.month = tested ? rated->test_month : opened->month;
    found.day = tested ? rated->test_day : opened->day;
    found.items = opened->count > 0 ? memory_resize(NULL, opened->count, sizeof *found.items) : NULL;
    for (size_t k = 0; status == STATUS_OK && k < opened->count; k++) {
        struct inspected *item = &found.items[found.count++];
        *item = (struct inspected){.item = &opened->items[k], .limit_a = NAN, .limit_u_a = NAN};
        status = inspect_one(&in, item);
    }
    if (status != STATUS_OK) {
        inspection_free(&found);
        return status;
    }
    found.batch = cell_code_batch(found.codes, found.code_count);
    inspect_fuse_beside(&in);
    find_weakest(&found);
    inspect_steps(&in);
    *ret_inspection = found;
    return STATUS_OK;
}

enum status inspect_judge(const char *path, struct span text, struct message *message)
{
    struct opened opened;
    struct inspection inspection;
    struct rated nothing = rated_nothing();
    enum status status = opened_read_text(path, text, &opened, message);
    if (status != STATUS_OK)
        return status;
    status = inspect(&opened, &nothing, &inspection, message);
    if (status == STATUS_OK)
        inspection_free(&inspection);
    opened_free(&opened);
    return status;
}

void inspection_free(struct inspection *inspection)
{
    free(inspection->items);
    free(inspection->codes);
    free(inspection->steps);
    *inspection = (struct inspection){.weakest_a = NAN, .weakest = SIZE_MAX};
}
