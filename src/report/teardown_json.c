#include "report/teardown_json.h"

#include <limits.h>

static void add_faults(const struct cell_code *code, struct listing *rows)
{
    for (size_t k = 0; k < code->fault_count; k++) {
        listing_add(rows, "%s", k == 0 ? "does not fit" : "");
        listing_add(rows, "%s", code->faults[k]);
    }
}

static void pair(struct listing *rows, const char *what, const char *how)
{
    listing_add(rows, "%s", what);
    listing_add(rows, "%s", how);
}

void cell_code_account(const struct cell_code *code, int year, int month, int day, struct listing *rows)
{
    int age = year != 0 ? cell_code_age_days(code, year, month, day) : INT_MIN;
    pair(rows, "code", code->code);
    if (code->maker[0] != '\0') {
        pair(rows, "maker", code->maker);
        pair(rows, "kind", cell_code_kind(code->kind));
        pair(rows, "chemistry", cell_code_chemistry(code->chemistry));
        pair(rows, "specification", code->specification);
        pair(rows, "trace", code->reused ? "none: the code of a cell that is used again" : code->trace);
    }
    if (code->year != 0) {
        listing_add(rows, "made");
        listing_add(rows, "%04d-%02d-%02d", code->year, code->month, code->day);
    }
    if (age != INT_MIN) {
        listing_add(rows, "age");
        listing_add(rows, age < 0 ? "%d days after that date: the code or the date is wrong" : "%d days", age < 0 ? -age : age);
    }
    if (code->serial >= 0) {
        listing_add(rows, "serial");
        listing_add(rows, "%ld of that day", code->serial);
    }
    add_faults(code, rows);
}

json_t *cell_code_json(const struct cell_code *code, int year, int month, int day)
{
    json_t *o = json_object(), *faults = json_array();
    int age = year != 0 ? cell_code_age_days(code, year, month, day) : INT_MIN;
    char date[16];
    snprintf(date, sizeof date, "%04d-%02d-%02d", code->year, code->month, code->day);
    json_put_words(o, "code", code->code);
    json_put(o, "whole", json_boolean(code->whole));
    json_put(o, "used_again", json_boolean(code->reused));
    json_put_words(o, "maker", code->maker);
    json_put_words(o, "kind", cell_code_kind(code->kind));
    json_put_words(o, "chemistry", cell_code_chemistry(code->chemistry));
    json_put_words(o, "specification", code->specification);
    json_put_words(o, "trace", code->trace);
    json_put(o, "made", code->year != 0 ? json_string(date) : json_null());
    json_put(o, "serial", code->serial >= 0 ? json_integer(code->serial) : json_null());
    json_put(o, "age_days", age != INT_MIN ? json_integer(age) : json_null());
    for (size_t k = 0; k < code->fault_count; k++)
        json_array_append_new(faults, json_string(code->faults[k]));
    json_put(o, "does_not_fit", faults);
    return o;
}

void cell_batch_words(const struct cell_batch *batch, struct text *text)
{
    if (batch->read < 2) {
        text_add(text, "One batch or several cannot be told from fewer than two whole codes.");
        return;
    }
    bool alike = batch->makers == 1 && batch->specifications == 1 && batch->chemistries == 1;
    text_addf(text, "%zu codes: %s, made %s", batch->read,
              alike ? "one maker, one specification" : "not all of one maker, specification and chemistry",
              batch->days_apart == 0 ? "on one day" : "");
    if (batch->days_apart > 0)
        text_addf(text, "within %d days", batch->days_apart);
    text_add(text, ".");
    if (batch->repeated > 0)
        text_addf(text, " %zu occur%s twice, and no two cells have the same code: read again, or copied labels.",
                  batch->repeated, batch->repeated == 1 ? "s" : "");
}

json_t *cell_batch_json(const struct cell_batch *batch)
{
    json_t *o = json_object();
    json_put(o, "whole_codes", json_integer((json_int_t)batch->read));
    json_put(o, "makers", json_integer((json_int_t)batch->makers));
    json_put(o, "specifications", json_integer((json_int_t)batch->specifications));
    json_put(o, "chemistries", json_integer((json_int_t)batch->chemistries));
    json_put(o, "days_apart", batch->read > 1 ? json_integer(batch->days_apart) : json_null());
    json_put(o, "repeated", json_integer((json_int_t)batch->repeated));
    return o;
}

static const char *const fit_words[] = {"fits", "too large", "fits, with room for spacers"};

void case_match_account(const struct case_match *matches, size_t count, struct listing *rows)
{
    for (size_t k = 0; k < count; k++) {
        const struct case_match *m = &matches[k];
        listing_add(rows, "%s %s", m->group->family, m->group->name);
        listing_add(rows, "%g × %g × %g mm", m->group->length_mm, m->group->width_mm, m->group->height_mm);
        if (m->fit == CASE_TOO_LARGE)
            listing_add(rows, "too large by %.0f mm", m->over_mm);
        else
            listing_add(rows, "%s", fit_words[m->fit]);
        listing_add(rows, "%s", m->group->from_memory ? "outline from memory" : "");
    }
}

json_t *case_match_json(const struct case_match *matches, size_t count)
{
    json_t *all = json_array();
    for (size_t k = 0; k < count; k++) {
        const struct case_match *m = &matches[k];
        json_t *o = json_object();
        json_put_words(o, "group", m->group->name);
        json_put_words(o, "family", m->group->family);
        json_put(o, "length_mm", json_number(m->group->length_mm));
        json_put(o, "width_mm", json_number(m->group->width_mm));
        json_put(o, "height_mm", json_number(m->group->height_mm));
        json_put_words(o, "fit", fit_words[m->fit]);
        json_put(o, "over_mm", json_number(m->over_mm));
        json_put(o, "from_memory", json_boolean(m->group->from_memory));
        json_array_append_new(all, o);
    }
    return all;
}
