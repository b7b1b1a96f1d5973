#include "report/calculate_parts.h"

#include <string.h>

const struct calculation *const calculations[] = {&calculate_wire, &calculate_thermistor, &calculate_cellcode,
                                                  &calculate_casesize, NULL};

const struct calculation *calculation_named(const char *name)
{
    const struct calculation *const *one = calculations;
    while (*one != NULL && strcmp((*one)->name, name) != 0)
        one++;
    return *one;
}

bool calculation_has(const struct calculation *calculation, const char *field)
{
    const char *const *one = calculation->fields;
    while (*one != NULL && strcmp(*one, field) != 0)
        one++;
    return *one != NULL;
}

enum status calculate(const struct calculation *calculation, const void *asked, struct calculated *ret_calculated,
                      struct message *message)
{
    struct calculated calculated = {.rows = listing_of(2), .assumed = listing_of(1)};
    enum status status = calculation->answer(asked, &calculated, message);
    if (status != STATUS_OK) {
        calculated_free(&calculated);
        return status;
    }
    json_t *assumed = json_array();
    for (size_t k = 0; k < listing_rows(&calculated.assumed); k++)
        json_array_append_new(assumed, json_words(listing_cell(&calculated.assumed, k, 0)));
    json_put(calculated.json, "assumed", assumed);
    *ret_calculated = calculated;
    return STATUS_OK;
}

void calculated_free(struct calculated *calculated)
{
    json_decref(calculated->json);
    listing_free(&calculated->rows);
    listing_free(&calculated->assumed);
    calculated->json = NULL;
}

enum status calculate_refuse(const char *field, const char *value, const char *example, struct message *message)
{
    status_fail(message, STATUS_USAGE, "%s cannot use '%s'", field, value);
    return status_remedy(message, "give it as %s", example);
}

enum status calculate_take(const struct calculate_amount *amount, const char *value, double *ret_value, struct message *message)
{
    enum quantity quantity;
    double number;
    struct span words = span_trim(span_of(value));
    size_t used = quantity_read(words, '.', &number, NULL, &quantity);
    if (quantity == QUANTITY_NONE)
        number *= amount->factor;
    bool fits = used > 0 && used == words.n && (quantity == amount->quantity || quantity == QUANTITY_NONE);
    if (!fits || !(number > amount->least && number < amount->most))
        return calculate_refuse(amount->field, value, amount->example, message);
    *ret_value = number;
    return STATUS_OK;
}

enum status calculate_take_switch(const char *field, const char *value, bool *ret_on, struct message *message)
{
    bool on = strcmp(value, "yes") == 0;
    if (!on && strcmp(value, "no") != 0)
        return calculate_refuse(field, value, "yes or no", message);
    *ret_on = on;
    return STATUS_OK;
}
