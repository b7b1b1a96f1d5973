#include "cli/calculating.h"
#include "cli/code_words.h"
#include "cli/commands.h"
#include "report/picture_codes.h"

const char cellcode_about[] =
    "Takes the 24-character codes on cells apart (GB/T 34014-2017): maker, kind, chemistry, date, serial number, and says\n"
    "what does not fit; with several, whether they can be one batch. A code shows what somebody printed.\n\n"
    "  rundown cellcode ZZZCB99ABCDEFGB3C0000123\n"
    "  rundown cellcode ZZZCB99ABCDEFGB3C0000123 ZZZCB99ABCDEFGB3C0000124 --tested 2026-03-14 --json\n"
    "  rundown cellcode --picture cells.jpg";

const struct option_spec cellcode_options[] = {
    {"picture", "FILE", "read the codes off a photograph (QR, Data Matrix, Code 128)"},
    {"tested", "DATE", "the day to which the age is counted, as 2026-03-14"},
    {"json", NULL, "print as JSON"},
    {NULL, NULL, NULL},
};

/* Those of cells are taken; what else is encoded is told, since somebody may look for it. */
static enum status take_codes(const struct calculation *calculation, void *asked, const char *path, const struct code *codes,
                              size_t count, struct message *message)
{
    size_t of_cells = 0;
    enum status status = STATUS_OK;
    for (size_t k = 0; k < count && status == STATUS_OK; k++) {
        if (!picture_code_is_of_cell(codes[k].text)) {
            fprintf(stderr, "not of a cell: %s: %s\n", code_kind_name(codes[k].kind), codes[k].text);
            continue;
        }
        status = calculation->take(asked, "code", codes[k].text, message);
        of_cells++;
    }
    if (status != STATUS_OK || of_cells > 0)
        return status;
    status_fail(message, STATUS_UNREADABLE, "no code of a cell could be read off this picture");
    status_at(message, path, 0, 0);
    return status_remedy(message, "come closer, against the gloss, or type it as it stands on the cell");
}

static enum status take_picture(const struct calculation *calculation, void *asked, const char *path, struct message *message)
{
    struct text bytes = TEXT_EMPTY;
    struct code codes[PICTURE_CODES];
    size_t count = 0;
    enum status status = picture_load(path, &bytes, message);
    if (status == STATUS_OK)
        status = picture_codes(path, (struct span){text_string(&bytes), bytes.length}, codes, &count, message);
    text_free(&bytes);
    return status == STATUS_OK ? take_codes(calculation, asked, path, codes, count, message) : status;
}

int cellcode_run(int argc, char **argv)
{
    return calculating_run("cellcode", cellcode_options, take_picture, argc, argv);
}
