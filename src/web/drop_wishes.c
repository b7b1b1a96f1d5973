#include "web/drop_wishes.h"

static enum status refuse(const char *what, const char *value, const char *remedy, struct message *message)
{
    status_fail(message, STATUS_USAGE, "'%s' is no %s", value, what);
    status_remedy(message, "%s", remedy);
    return STATUS_USAGE;
}

static enum status read_period(const json_t *value, double *ret_period_s, struct message *message)
{
    enum quantity quantity;
    double number;
    if (value == NULL || json_is_null(value) || (json_is_string(value) && json_string_length(value) == 0)) {
        *ret_period_s = 0;
        return STATUS_OK;
    }
    const char *words = json_is_string(value) ? json_string_value(value) : "";
    size_t used = quantity_read(span_of(words), '.', &number, NULL, &quantity);
    if (used == 0 || used != strlen(words) || !(number > 0) || (quantity != QUANTITY_TIME && quantity != QUANTITY_NONE))
        return refuse("time between two rows", words, "write it like 1s or 200ms", message);
    *ret_period_s = number;
    return STATUS_OK;
}

static enum status read_sign(const json_t *value, enum sign_stated *ret_sign, struct message *message)
{
    const char *words = json_is_string(value) ? json_string_value(value) : "";
    if (words[0] == '\0')
        *ret_sign = SIGN_NOT_STATED;
    else if (strcmp(words, "discharge-positive") == 0)
        *ret_sign = SIGN_DISCHARGE_POSITIVE;
    else if (strcmp(words, "charge-positive") == 0)
        *ret_sign = SIGN_CHARGE_POSITIVE;
    else
        return refuse("way to count a current", words, "say discharge-positive or charge-positive", message);
    return STATUS_OK;
}

enum status drop_wishes_read(const json_t *said, struct drop_wishes *wishes, struct message *message)
{
    const json_t *columns = json_object_get(said, "columns");
    size_t count = json_array_size(columns);
    if (count > DROP_WISHES)
        return status_fail(message, STATUS_USAGE, "more than %d columns settled", DROP_WISHES);
    enum status status = STATUS_OK;
    for (size_t k = 0; k < count && status == STATUS_OK; k++) {
        const char *option = json_string_value(json_array_get(columns, k));
        status = column_wish_read(option != NULL ? option : "", &wishes->columns[wishes->count++], message);
    }
    if (status == STATUS_OK)
        status = read_period(json_object_get(said, "period"), &wishes->period_s, message);
    if (status == STATUS_OK)
        status = read_sign(json_object_get(said, "sign"), &wishes->sign, message);
    return status;
}
