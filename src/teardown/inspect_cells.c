#include "teardown/inspect_parts.h"

#include "base/memory.h"
#include "base/nearest.h"

#include <limits.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

static const double cell_nominal_v = 3.2; /* lithium iron phosphate, trade practice */
static const char sign_of_second_life[] = "sign of a second life";
enum { CODES_SHOWN = 8, SIGNS_SHOWN = 8, CODES_LIMIT = 1000, DAYS_APART = 60 /* of one delivery, our convention */ };

bool opened_arrangement(const struct opened_item *cells, int *ret_series, int *ret_parallel)
{
    const char *words = opened_value(cells, "arrangement");
    return words != NULL && arrangement_read(span_of(words), ret_series, ret_parallel);
}

struct seen {
    int count, series, parallel; /* 0 not known */
    struct opened_amount rated, mass;
};

static enum status read_cells(const struct opened_look *look, struct seen *ret_seen)
{
    struct seen seen = {0};
    double sides_m[3];
    const struct opened_entry *entry = opened_entry(look->item, "arrangement");
    if (entry != NULL && !opened_arrangement(look->item, &seen.series, &seen.parallel))
        return opened_fault(look, entry, 0, "`%s` is no arrangement of cells", entry->value);
    enum status status = opened_count(look, "count", &seen.count);
    if (status == STATUS_OK)
        status = opened_amount(look, "rated", QUANTITY_CHARGE, &seen.rated);
    if (status == STATUS_OK)
        status = opened_amount(look, "mass", QUANTITY_MASS, &seen.mass);
    if (status == STATUS_OK)
        status = opened_sides(look, "size", sides_m);
    if (status == STATUS_OK)
        *ret_seen = seen;
    return status;
}

static void hold_arrangement(const struct rated *rated, const struct seen *seen, struct inspected *item)
{
    if (seen->series == 0)
        return;
    if (seen->count > 0 && seen->count != seen->series * seen->parallel)
        say_means(item, "%d cells do not make %dS%dP: count again.", seen->count, seen->series, seen->parallel);
    struct measure nominal = exactly(seen->series * cell_nominal_v);
    say_measure(item, QUANTITY_VOLTAGE, &nominal, "%d cells of 3.2 V in series", seen->series);
    if (rated->cells > 0 && rated->cells != seen->series)
        say_against(item, RATED_CELLS, "%d cells in series%s: there are %d.", rated->cells,
                    isnan(rated->nominal_v) ? "" : ", or volts of so many", seen->series);
}

static void hold_charge(const struct rated *rated, const struct seen *seen, struct inspected *item)
{
    if (isnan(seen->rated.value) || seen->parallel == 0)
        return;
    double ah = seen->rated.value * seen->parallel, wh = ah * seen->series * cell_nominal_v;
    struct measure together = exactly(ah), energy = exactly(wh);
    say_measure(item, QUANTITY_CHARGE, &together, "by the print, %d%s", seen->parallel,
                seen->parallel == 1 ? " in each place" : " side by side");
    say_measure(item, QUANTITY_ENERGY, &energy, "of all cells, by their print");
    if (ah < rated->rated_ah * (1 - 1e-9))
        say_against(item, RATED_CAPACITY, "%g Ah: its cells are printed for %g Ah.", rated->rated_ah, ah);
    else if (ah >= rated->rated_ah)
        say_means(item, "The print of its cells is not below the label's %g Ah; it is a claim of their maker's.", rated->rated_ah);
    if (seen->mass.value > 0) {
        struct measure density = within_half(seen->rated.value * cell_nominal_v / seen->mass.value,
                                             seen->rated.value * cell_nominal_v / seen->mass.value * seen->mass.half / seen->mass.value,
                                             "mass as weighed");
        char shown[64];
        measure_print(&density, "Wh/kg", shown, sizeof shown);
        say_words(item, "of one cell, by its print", "%s", shown);
    }
}

static void say_code(const struct inspecting *in, const struct cell_code *code, struct inspected *item)
{
    const struct inspection *out = in->out;
    char age[64] = "";
    int days = out->year != 0 ? cell_code_age_days(code, out->year, out->month, out->day) : INT_MIN;
    if (!code->whole) {
        say_words(item, code->code[0] != '\0' ? code->code : "code", "does not fit: %s", code->faults[0]);
        return;
    }
    if (days != INT_MIN && days >= 0)
        snprintf(age, sizeof age, ", %d days before", days);
    else if (days != INT_MIN)
        snprintf(age, sizeof age, ", which is %d days to come", -days);
    say_words(item, code->code, "%s of maker %s, %s, specification %s%s%s, made %04d-%02d-%02d%s", cell_code_kind(code->kind),
              code->maker, cell_code_chemistry(code->chemistry), code->specification, code->reused ? "" : ", trace ",
              code->reused ? "" : code->trace, code->year, code->month, code->day, age);
}

static void say_batch(const struct cell_batch *batch, size_t read, struct inspected *item)
{
    if (read > CODES_SHOWN)
        say_words(item, "more codes", "%zu", read - CODES_SHOWN);
    if (batch->read < 2)
        return;
    bool alike = batch->makers == 1 && batch->specifications == 1 && batch->chemistries == 1;
    say_words(item, "as a batch", "%s; made within %d day%s", alike ? "one maker, one specification, one chemistry"
                                                                    : "not all of one maker, specification and chemistry",
              batch->days_apart, batch->days_apart == 1 ? "" : "s");
    if (!alike)
        say_words(item, sign_of_second_life, "codes of more than one maker, specification or chemistry");
    if (batch->days_apart > DAYS_APART)
        say_words(item, sign_of_second_life, "codes %d days apart", batch->days_apart);
    if (batch->repeated > 0)
        say_words(item, sign_of_second_life, "%zu code%s more than once: read again, or copied wrappers", batch->repeated,
                  batch->repeated == 1 ? " occurs" : "s occur");
}

static void take_codes(struct inspecting *in, struct inspected *item)
{
    struct inspection *out = in->out;
    size_t first = out->code_count, reused = 0, other = 0;
    for (size_t k = 0; k < item->item->entry_count && out->code_count < CODES_LIMIT; k++) {
        const struct opened_entry *entry = &item->item->entries[k];
        if (!name_alike(span_of(entry->key), "code") || value_is_none(entry->value))
            continue;
        struct span code = span_of(entry->value);
        const char *comma = strchr(entry->value, ',');
        code.n = comma != NULL ? (size_t)(comma - entry->value) : code.n;
        out->codes = memory_resize(out->codes, out->code_count + 1, sizeof *out->codes);
        struct cell_code *read = &out->codes[out->code_count++];
        *read = cell_code_read(code);
        reused += read->whole && read->reused;
        other += read->whole && read->chemistry != 'B';
        if (out->code_count - first <= CODES_SHOWN)
            say_code(in, read, item);
    }
    size_t read = out->code_count - first;
    if (read == 0)
        return;
    struct cell_batch batch = cell_code_batch(out->codes + first, read);
    say_batch(&batch, read, item);
    if (reused > 0)
        say_words(item, sign_of_second_life, "%zu code%s of a cell that is used again", reused, reused == 1 ? "" : "s");
    if (other > 0)
        say_means(item, "%zu code%s not lithium iron phosphate.", other, other == 1 ? " is" : "s are");
    say_means(item, "A code says what somebody printed; wrappers can be printed anew.");
}

/* A list to judge, and no verdict. */
static void list_signs(struct inspected *item)
{
    size_t found = 0, typed = 0;
    bool none = false;
    for (size_t k = 0; k < item->value_count; k++)
        found += strcmp(item->values[k].what, sign_of_second_life) == 0;
    for (size_t k = 0; k < item->item->entry_count; k++) {
        const struct opened_entry *entry = &item->item->entries[k];
        if (!name_alike(span_of(entry->key), "signs"))
            continue;
        bool says_none = strncasecmp(entry->value, "none", 4) == 0;
        none |= says_none;
        typed += !says_none;
        if (!says_none && typed <= SIGNS_SHOWN)
            say_words(item, sign_of_second_life, "%s", entry->value);
    }
    if (typed > SIGNS_SHOWN)
        say_words(item, "more signs", "%zu", typed - SIGNS_SHOWN);
    if (none && typed > 0)
        say_means(item, "That none was seen stands beside signs that were: one of the two is wrong.");
    found += typed;
    if (found > 0)
        say_means(item, "%zu sign%s of an earlier life: each has innocent causes too, and together they are to be judged.", found,
                  found == 1 ? "" : "s");
}

enum status inspect_cells(struct inspecting *in, struct inspected *item)
{
    struct opened_look look = look_at(in, item);
    struct seen seen = {0};
    enum status status = read_cells(&look, &seen);
    if (status != STATUS_OK)
        return status;
    in->out->series = seen.series;
    hold_arrangement(in->rated, &seen, item);
    hold_charge(in->rated, &seen, item);
    take_codes(in, item);
    list_signs(item);
    return STATUS_OK;
}
