/* Calculations of an opened sample on their own, as the commands of the same names make them. What cannot be used is told
 * by field, all at once, since somebody is typing: the answer is 200 then too. */
#include "report/calculate.h"
#include "report/json_parts.h"
#include "web/areas.h"

static json_t *fault_json(const char *field, const struct message *message)
{
    json_t *o = json_message(message);
    json_put_words(o, "field", field);
    return o;
}

static json_t *rows_json(const struct listing *rows)
{
    json_t *all = json_array();
    for (size_t r = 0; r < listing_rows(rows); r++) {
        json_t *row = json_array();
        for (size_t c = 0; c < rows->columns; c++)
            json_array_append_new(row, json_words(listing_cell(rows, r, c)));
        json_array_append_new(all, row);
    }
    return all;
}

/* What it stands on, the same whatever is asked. */
static void put_grounds(const struct calculation *calculation, json_t *all)
{
    json_t *sources = json_array();
    for (const char *const *source = calculation->sources; *source != NULL; source++)
        json_array_append_new(sources, json_words(*source));
    json_put(all, "sources", sources);
    json_put(all, "caution", calculation->caution != NULL ? json_words(calculation->caution) : json_null());
    json_put_words(all, "method", calculation->method);
}

/* Fields in the order of the query; one that is empty has not been filled in. */
static void take_all(const struct calculation *calculation, const struct http_request *request, void *asked, json_t *faults)
{
    for (const struct http_pair *pair = request->query; pair != NULL && pair->name != NULL; pair++) {
        struct message message = {0};
        enum status status = STATUS_OK;
        if (!calculation_has(calculation, pair->name))
            status = status_fail(&message, STATUS_USAGE, "there is no field '%.40s'", pair->name);
        else if (pair->value[0] != '\0')
            status = calculation->take(asked, pair->name, pair->value, &message);
        if (status != STATUS_OK)
            json_array_append_new(faults, fault_json(pair->name, &message));
    }
}

static void on_calculate(void *context, const struct http_request *request, struct http_reply *reply)
{
    const struct calculation *calculation = calculation_named(request->parts[0]);
    if (calculation == NULL) {
        http_refuse(reply, 404, "there is no calculation '%.40s'", request->parts[0]);
        return;
    }
    struct calculated calculated = {0};
    struct message message = {0};
    json_t *all = json_object(), *faults = json_array();
    void *asked = calculation->begin();
    take_all(calculation, request, asked, faults);
    if (json_array_size(faults) == 0 && calculate(calculation, asked, &calculated, &message) != STATUS_OK)
        json_array_append_new(faults, fault_json("", &message));
    json_put(all, "result", calculated.json != NULL ? json_incref(calculated.json) : json_null());
    json_put(all, "rows", rows_json(&calculated.rows));
    json_put(all, "faults", faults);
    put_grounds(calculation, all);
    calculated_free(&calculated);
    free(asked);
    http_json(reply, all);
}

const struct http_route calculate_routes[] = {
    {.method = "GET", .pattern = "/api/calculate/{}", .role = HTTP_READER, .answer = on_calculate},
    {0},
};
