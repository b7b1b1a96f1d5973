#include "cli/code_words.h"

#include "archive/photograph.h"
#include "cli/table_text.h"
#include "report/picture_codes.h"
#include "report/teardown_json.h"

#include <errno.h>

enum status picture_load(const char *path, struct text *ret_bytes, struct message *message)
{
    int error = text_read_file(path, PHOTOGRAPH_BYTES, ret_bytes);
    if (error == 0)
        return STATUS_OK;
    status_fail(message, error == EFBIG ? STATUS_LIMIT : STATUS_UNREADABLE, "cannot be read: %s", strerror(error));
    status_at(message, path, 0, 0);
    return status_remedy(message, "name a picture of at most %d MB", PHOTOGRAPH_BYTES >> 20);
}

void codes_words(const struct code *codes, size_t count, int indent, struct text *text)
{
    for (size_t k = 0; k < count; k++) {
        text_addf(text, "%*s%s: %s\n", indent, "", code_kind_name(codes[k].kind), codes[k].text);
        if (!picture_code_is_of_cell(codes[k].text))
            continue;
        struct cell_code cell = cell_code_read(span_of(codes[k].text));
        struct listing rows = listing_of(2);
        cell_code_account(&cell, 0, 0, 0, &rows);
        table_text(&rows, indent + 2, text);
        listing_free(&rows);
    }
}
