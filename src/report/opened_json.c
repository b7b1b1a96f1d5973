#include "report/opened_json.h"

#include "report/json_parts.h"
#include "report/teardown_json.h"

static json_t *entries_json(const struct opened_item *item)
{
    json_t *all = json_array();
    for (size_t k = 0; k < item->entry_count; k++) {
        json_t *o = json_object();
        json_put_words(o, "key", item->entries[k].key);
        json_put_words(o, "value", item->entries[k].value);
        json_array_append_new(all, o);
    }
    return all;
}

static json_t *values_json(const struct inspected *item)
{
    json_t *all = json_array();
    for (size_t k = 0; k < item->value_count; k++) {
        const struct inspected_value *value = &item->values[k];
        bool measured = value->quantity != QUANTITY_NONE;
        json_t *o = json_object();
        json_put_words(o, "what", value->what);
        json_put_words(o, "unit", quantity_symbol(value->quantity));
        json_put(o, "measure", measured ? json_measure(&value->measure, value->quantity) : json_null());
        json_put_words(o, "words", value->words);
        json_array_append_new(all, o);
    }
    return all;
}

static json_t *item_json(const struct inspected *item)
{
    json_t *o = json_object();
    json_put_words(o, "kind", opened_kind_words[item->item->kind]);
    json_put_words(o, "name", item->item->name);
    json_put_words(o, "slug", item->item->slug);
    json_put(o, "entries", entries_json(item->item));
    json_put(o, "values", values_json(item));
    json_put_words(o, "means", item->means);
    json_put_words(o, "against", item->against);
    json_put(o, "limit_a", json_number(item->limit_a));
    json_put(o, "limit_u_a", json_number(item->limit_u_a));
    json_put_words(o, "opinion", item->item->opinion);
    json_put_words(o, "grade", opened_grade_name(item->item->grade));
    json_put_words(o, "grade_why", item->item->grade_why);
    return o;
}

json_t *opened_steps_json(const struct inspection *inspection)
{
    json_t *all = json_array();
    for (size_t k = 0; k < inspection->step_count; k++) {
        const struct inspection_step *step = &inspection->steps[k];
        json_t *o = json_object();
        json_put_words(o, "kind", opened_kind_words[step->kind]);
        json_put_words(o, "name", step->name);
        json_put_words(o, "key", step->key);
        json_put_words(o, "ask", step->ask);
        json_put_words(o, "why", step->why);
        json_put(o, "caution", json_boolean(step->caution));
        json_array_append_new(all, o);
    }
    return all;
}

json_t *opened_json(const struct opened *opened, const struct inspection *inspection)
{
    json_t *o = json_object(), *items = json_array(), *codes = json_array();
    for (size_t k = 0; k < inspection->count; k++)
        json_array_append_new(items, item_json(&inspection->items[k]));
    for (size_t k = 0; k < inspection->code_count; k++)
        json_array_append_new(codes, cell_code_json(&inspection->codes[k], inspection->year, inspection->month,
                                                    inspection->day));
    json_put_words(o, "date", opened->date);
    json_put(o, "invented", json_boolean(opened->invented));
    json_put(o, "items", items);
    json_put(o, "codes", codes);
    json_put(o, "batch", cell_batch_json(&inspection->batch));
    json_put(o, "steps", opened_steps_json(inspection));
    json_put(o, "weakest_a", json_number(inspection->weakest_a));
    json_put(o, "weakest", inspection->weakest < inspection->count
                               ? json_string(inspection->items[inspection->weakest].item->slug)
                               : json_null());
    return o;
}

json_t *opened_keys_json(void)
{
    json_t *kinds = json_array();
    for (int kind = 0; kind < OPENED_KINDS; kind++) {
        json_t *o = json_object(), *keys = json_array();
        for (const struct opened_key *key = opened_keys((enum opened_kind)kind); key->key != NULL; key++) {
            json_t *one = json_object(), *choices = json_array();
            json_put_words(one, "key", key->key);
            json_put_words(one, "example", key->example);
            json_put_words(one, "why", key->why);
            json_put(one, "repeats", json_boolean(key->repeats));
            for (const char *const *choice = key->choices; choice != NULL && *choice != NULL; choice++)
                json_array_append_new(choices, json_string(*choice));
            json_put(one, "choices", choices);
            json_array_append_new(keys, one);
        }
        json_put_words(o, "kind", opened_kind_words[kind]);
        json_put(o, "keys", keys);
        json_array_append_new(kinds, o);
    }
    return kinds;
}

json_t *likeness_json(const struct likeness *likeness)
{
    json_t *o = json_object(), *rows = json_array();
    for (size_t k = 0; k < likeness->count; k++) {
        const struct likeness_row *row = &likeness->rows[k];
        json_t *one = json_object();
        json_put_words(one, "kind", opened_kind_words[row->kind]);
        json_put_words(one, "what", row->what);
        json_put_words(one, "alike", alike_name(row->alike));
        json_put_words(one, "first", row->first);
        json_put_words(one, "second", row->second);
        json_array_append_new(rows, one);
    }
    json_put(o, "rows", rows);
    json_put(o, "agree", json_integer((json_int_t)likeness->agree));
    json_put(o, "differ", json_integer((json_int_t)likeness->differ));
    json_put(o, "one_only", json_integer((json_int_t)likeness->one_only));
    return o;
}
