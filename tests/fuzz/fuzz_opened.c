/* teardown/opened.h and inspection.h: what is refused has a place and a remedy; what is read is inspected without a
 * number that is none, and an item that is put in again leaves a text that is read the same. */
#include "teardown/inspection.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void check_refusal(const struct message *message, bool placed)
{
    if (message->what[0] == '\0' || message->remedy[0] == '\0' || (placed && message->line < 1))
        abort();
}

static void check_inspection(const struct inspection *inspection)
{
    for (size_t k = 0; k < inspection->count; k++) {
        const struct inspected *item = &inspection->items[k];
        if (item->limit_a < 0 || isinf(item->limit_a) || item->value_count > INSPECTED_VALUES)
            abort();
        for (size_t v = 0; v < item->value_count; v++) {
            const struct inspected_value *value = &item->values[v];
            if (value->quantity != QUANTITY_NONE && measure_known(&value->measure) &&
                !(value->measure.lo <= value->measure.value && value->measure.value <= value->measure.hi))
                abort();
        }
    }
}

static void check_put(struct span text, const struct opened *opened)
{
    struct text out = TEXT_EMPTY;
    struct opened again;
    struct message message = {0};
    if (opened->count == 0)
        return;
    if (opened_put(text, opened->items[0].slug, (struct span){"", 0}, &out, &message) != STATUS_OK) {
        check_refusal(&message, false);
    } else if (opened_read_text("fuzz.opened", (struct span){text_string(&out), out.length}, &again, &message) == STATUS_OK) {
        if (again.count != opened->count - 1)
            abort();
        opened_free(&again);
    } else {
        abort();
    }
    text_free(&out);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct span text = {(const char *)data, size};
    struct message message = {0};
    struct opened opened;
    struct rated rated = rated_nothing();
    rated.continuous_a = 100;
    rated.peak_a = 200;
    rated.peak_s = 5;
    rated.rated_ah = 100;
    rated.nominal_v = 12.8;
    rated.cells = 4;
    enum status status = opened_read_text("fuzz.opened", text, &opened, &message);
    if (status != STATUS_OK) {
        check_refusal(&message, status == STATUS_MALFORMED);
        return 0;
    }
    struct inspection inspection;
    if (inspect(&opened, &rated, &inspection, &message) == STATUS_OK) {
        check_inspection(&inspection);
        inspection_free(&inspection);
    } else {
        check_refusal(&message, true);
    }
    check_put(text, &opened);
    opened_free(&opened);
    return 0;
}
