/* instrument/scpi_text.h and scpi_device.h: answers split into fields within them; a device obeys whatever comes,
 * answers whole lines, and keeps its queue in bounds. */
#include "instrument/field.h"
#include "instrument/scpi_device.h"
#include "instrument/scpi_text.h"

#include <stdint.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static bool row_now(void *context, struct serve_row *ret_row)
{
    *ret_row = (struct serve_row){.time_s = 2.385, .cells = {decimal_of(13.271, 3), decimal_of(INFINITY, 0)}};
    return true;
}

static const struct serve_view view = {.identity = "Invented",
                                       .channels = {CHANNEL_VOLTAGE, CHANNEL_CURRENT},
                                       .channel_count = 2,
                                       .row = row_now};
static const struct link_channel volts = {
    .quantity = QUANTITY_VOLTAGE, .unit = {QUANTITY_VOLTAGE, 1, 0}, .unit_symbol = "V"};

static void check_fields(struct span answer)
{
    struct span fields[SCPI_FIELDS];
    int count = scpi_fields(answer, fields), number = 0;
    for (int k = 0; k < count; k++) {
        struct decimal value = {0};
        char odd[FIELD_ODD] = "";
        struct message message = {0};
        if (fields[k].p < answer.p || fields[k].p + fields[k].n > answer.p + answer.n)
            abort();
        bool good = field_read(fields[k], &volts, '.', &value, odd, &message);
        if (!good ? message.what[0] == '\0' : value.kind == DECIMAL_NUMBER && !isfinite(decimal_value(value)))
            abort();
        if (good && value.kind == DECIMAL_ODD && odd[0] == '\0')
            abort();
    }
    scpi_error_read(answer, &number);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct scpi_device device;
    struct text answer = TEXT_EMPTY;
    struct span text = {(const char *)data, size};
    check_fields(text);
    scpi_device_power_on(&device, &view);
    while (text.n > 0) {
        const char *end = memchr(text.p, '\n', text.n);
        size_t n = end != NULL ? (size_t)(end - text.p) : text.n;
        scpi_device_obey(&device, (struct span){text.p, n}, &answer);
        n += end != NULL;
        text = (struct span){text.p + n, text.n - n};
        if (device.error_count < 0 || device.error_count > SCPI_DEVICE_ERRORS)
            abort();
    }
    if (answer.length > 0 && answer.s[answer.length - 1] != '\n')
        abort();
    text_free(&answer);
    return 0;
}
