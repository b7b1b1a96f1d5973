#include "report/calculate_parts.h"
#include "report/teardown_json.h"

#include "base/memory.h"

#include <string.h>

enum { CODES = 64 };

struct asked {
    struct cell_code codes[CODES];
    size_t count;
    int year, month, day; /* of the test; 0 not said */
};

static void *begin(void)
{
    struct asked *asked = memory_get(sizeof *asked);
    memset(asked, 0, sizeof *asked);
    return asked;
}

/* So many digits from `at` on; -1 when they are none. */
static int digits(const char *at, int count)
{
    int number = 0;
    for (int k = 0; k < count; k++) {
        if (at[k] < '0' || at[k] > '9')
            return -1;
        number = 10 * number + (at[k] - '0');
    }
    return number;
}

static enum status take_date(const char *value, struct asked *asked, struct message *message)
{
    if (strlen(value) != 10 || value[4] != '-' || value[7] != '-')
        return calculate_refuse("tested", value, "2026-03-14", message);
    int year = digits(value, 4), month = digits(value + 5, 2), day = digits(value + 8, 2);
    if (year <= 1990 || month < 1 || month > 12 || day < 1 || day > 31)
        return calculate_refuse("tested", value, "2026-03-14", message);
    asked->year = year, asked->month = month, asked->day = day;
    return STATUS_OK;
}

static enum status take(void *context, const char *field, const char *value, struct message *message)
{
    struct asked *asked = context;
    if (strcmp(field, "tested") == 0)
        return take_date(value, asked, message);
    if (asked->count == CODES)
        return status_fail(message, STATUS_USAGE, "more than %d codes at once", CODES);
    asked->codes[asked->count++] = cell_code_read(span_of(value));
    return STATUS_OK;
}

static void add_row(struct listing *rows, const char *what, const char *how)
{
    listing_add(rows, "%s", what);
    listing_add(rows, "%s", how);
}

static enum status answer(const void *context, struct calculated *calculated, struct message *message)
{
    const struct asked *asked = context;
    if (asked->count == 0) {
        status_fail(message, STATUS_USAGE, "no code given");
        return status_remedy(message, "type it as it stands on the cell, as ZZZCB99ABCDEFGB3C0000123");
    }
    json_t *codes = json_array();
    struct cell_batch batch = cell_code_batch(asked->codes, asked->count);
    for (size_t k = 0; k < asked->count; k++) {
        if (k > 0)
            add_row(&calculated->rows, "", "");
        cell_code_account(&asked->codes[k], asked->year, asked->month, asked->day, &calculated->rows);
        json_array_append_new(codes, cell_code_json(&asked->codes[k], asked->year, asked->month, asked->day));
    }
    if (asked->count > 1) {
        struct text words = TEXT_EMPTY;
        cell_batch_words(&batch, &words);
        add_row(&calculated->rows, "", "");
        add_row(&calculated->rows, "batch", text_string(&words));
        text_free(&words);
    }
    calculated->json = json_object();
    json_put(calculated->json, "codes", codes);
    json_put(calculated->json, "batch", cell_batch_json(&batch));
    listing_add(&calculated->assumed, "The layout of GB/T 34014-2017; a code shows what somebody printed.");
    return STATUS_OK;
}

static const char *const fields[] = {"code", "tested", NULL};
static const char *const sources[] = {
    "Layout and most letters: GB/T 34014-2017, read in secondary texts; letters of dates and of the rarer chemistries: from memory.",
    "Registers of makers, specifications and traces are not public: these are shown, not read.", NULL};
const struct calculation calculate_cellcode = {.name = "cellcode", .word = "code", .fields = fields,
                                               .method = "docs/teardown.md", .sources = sources, .begin = begin,
                                               .take = take, .answer = answer};
