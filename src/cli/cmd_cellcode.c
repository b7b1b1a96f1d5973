#include "cli/commands.h"

#include "cli/code_words.h"
#include "cli/desk.h"
#include "cli/table_text.h"
#include "report/picture_codes.h"
#include "report/teardown_json.h"

const char cellcode_about[] =
    "Takes the 24-character codes on cells apart (GB/T 34014-2017): maker, kind, chemistry, date, serial number, and says\n"
    "what does not fit; with several, whether they can be one batch. A code shows what somebody printed.\n\n"
    "  rundown cellcode ZZZCB99ABCDEFGB3C0000123\n"
    "  rundown cellcode ZZZCB99ABCDEFGB3C0000123 ZZZCB99ABCDEFGB3C0000124 --tested 2026-03-14 --json\n"
    "  rundown cellcode --picture cells.jpg";

enum { OPT_PICTURE, OPT_TESTED, OPT_JSON, CODES = PICTURE_CODES };

const struct option_spec cellcode_options[] = {
    [OPT_PICTURE] = {"picture", "FILE", "read the codes off a photograph (QR, Data Matrix, Code 128)"},
    [OPT_TESTED] = {"tested", "DATE", "the day to which the age is counted, as 2026-03-14"},
    [OPT_JSON] = {"json", NULL, "print as JSON"},
    {NULL, NULL, NULL},
};

struct arguments {
    struct cell_code codes[CODES];
    size_t count;
    int year, month, day;
    bool json;
};

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

static enum status take_date(const char *value, struct arguments *a, struct message *message)
{
    if (strlen(value) == 10 && value[4] == '-' && value[7] == '-') {
        a->year = digits(value, 4);
        a->month = digits(value + 5, 2);
        a->day = digits(value + 8, 2);
        if (a->year > 1990 && a->month >= 1 && a->month <= 12 && a->day >= 1 && a->day <= 31)
            return STATUS_OK;
    }
    status_fail(message, STATUS_USAGE, "--tested cannot use '%s'", value);
    return status_remedy(message, "give a date as 2026-03-14");
}

/* Those of cells are taken; what else is encoded is told, since somebody may look for it. */
static enum status take_picture(const char *path, struct arguments *a, struct message *message)
{
    struct text bytes = TEXT_EMPTY;
    struct code codes[CODES];
    struct cell_code cells[CODES];
    size_t found = 0;
    enum status status = picture_load(path, &bytes, message);
    if (status == STATUS_OK)
        status = picture_codes(path, (struct span){text_string(&bytes), bytes.length}, codes, &found, message);
    text_free(&bytes);
    if (status != STATUS_OK)
        return status;
    for (size_t k = 0; k < found; k++)
        if (!picture_code_is_of_cell(codes[k].text))
            fprintf(stderr, "not of a cell: %s: %s\n", code_kind_name(codes[k].kind), codes[k].text);
    size_t of_cells = picture_codes_of_cells(codes, found, cells);
    for (size_t k = 0; k < of_cells && a->count < CODES; k++)
        a->codes[a->count++] = cells[k];
    if (of_cells > 0)
        return STATUS_OK;
    status_fail(message, STATUS_UNREADABLE, "no code of a cell could be read off this picture");
    status_at(message, path, 0, 0);
    return status_remedy(message, "come closer, against the gloss, or type it as it stands on the cell");
}

static enum status parse(int argc, char **argv, struct arguments *a, struct message *message)
{
    struct option_walk walk = {.argc = argc, .argv = argv, .options = cellcode_options};
    const char *value = NULL;
    enum status status = STATUS_OK;
    for (int k; status == STATUS_OK && (k = option_next(&walk, &value, message)) != OPTION_END;) {
        if (k == OPTION_FAULT)
            return message->status;
        if (k == OPT_PICTURE)
            status = take_picture(value, a, message);
        else if (k == OPT_TESTED)
            status = take_date(value, a, message);
        else if (k == OPT_JSON)
            a->json = true;
        else if (a->count < CODES)
            a->codes[a->count++] = cell_code_read(span_of(value));
        else
            status = status_fail(message, STATUS_USAGE, "more than %d codes at once", CODES);
    }
    if (status != STATUS_OK || a->count > 0)
        return status;
    status_fail(message, STATUS_USAGE, "no code given");
    return status_remedy(message, "type it as it stands on the cell: `rundown cellcode ZZZCB99ABCDEFGB3C0000123`");
}

static void add_json(const struct arguments *a, struct text *text)
{
    json_t *all = json_object(), *codes = json_array();
    struct cell_batch batch = cell_code_batch(a->codes, a->count);
    for (size_t k = 0; k < a->count; k++)
        json_array_append_new(codes, cell_code_json(&a->codes[k], a->year, a->month, a->day));
    json_put(all, "codes", codes);
    json_put(all, "batch", cell_batch_json(&batch));
    json_finish(all, text);
}

static void add_words(const struct arguments *a, struct text *text)
{
    for (size_t k = 0; k < a->count; k++) {
        struct listing rows = listing_of(2);
        cell_code_account(&a->codes[k], a->year, a->month, a->day, &rows);
        text_add(text, k > 0 ? "\n" : "");
        table_text(&rows, 0, text);
        listing_free(&rows);
    }
    if (a->count > 1) {
        struct cell_batch batch = cell_code_batch(a->codes, a->count);
        text_add(text, "\n");
        cell_batch_words(&batch, text);
        text_add(text, "\n");
    }
}

int cellcode_run(int argc, char **argv)
{
    struct arguments a = {0};
    struct message message;
    struct text text = TEXT_EMPTY;
    if (parse(argc, argv, &a, &message) != STATUS_OK)
        return cli_fail(&message);
    (a.json ? add_json : add_words)(&a, &text);
    enum status status = desk_print(&text, &message);
    text_free(&text);
    return status == STATUS_OK ? STATUS_OK : cli_fail(&message);
}
