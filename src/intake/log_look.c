#include "intake/log_look.h"

#include "base/memory.h"
#include "intake/cells.h"
#include "intake/columns.h"
#include "intake/evidence.h"

static void take_rows(const struct log_layout *layout, struct log_look *look)
{
    struct span cells[LAYOUT_COLUMNS];
    size_t columns = look->column_count;
    look->cells = memory_get(LOOK_ROWS * columns * sizeof *look->cells);
    for (size_t k = layout->preamble_count; k < layout->line_count && look->rows < LOOK_ROWS; k++) {
        size_t count = log_layout_cells(layout, &layout->lines[k], cells);
        look->lines[look->rows] = layout->lines[k].number;
        for (size_t c = 0; c < columns && c < count; c++)
            cell_copy(span_trim(cells[c]), look->cells[look->rows * columns + c], LOOK_CELL);
        look->rows++;
    }
}

static bool is_utf8(const struct log_layout *layout)
{
    for (size_t k = 0; k < layout->line_count; k++)
        if (span_bad_utf8(layout->lines[k].text) < layout->lines[k].text.n)
            return false;
    return true;
}

/* What the headers say, where the whole was refused. */
static void take_headers(const struct log_layout *layout, struct log_look *look)
{
    look->column_count = layout->columns;
    look->columns = memory_get(layout->columns * sizeof *look->columns);
    for (size_t k = 0; k < layout->columns; k++) {
        struct column_choice *choice = &look->columns[k];
        struct header header = header_read(layout->names[k], layout->units_below[k]);
        *choice = (struct column_choice){.number = (int)k + 1, .role = COLUMN_UNUSED, .factor = 1};
        snprintf(choice->header, sizeof choice->header, "%s", layout->names[k]);
        snprintf(choice->unit, sizeof choice->unit, "%s", header.unit_text);
        snprintf(choice->why, sizeof choice->why, "%s", header.why);
    }
}

enum status log_look(const char *path, const struct log_options *options, struct log_look *ret_look,
                     struct message *message)
{
    struct source source;
    struct log_layout layout;
    struct columns columns;
    enum status status = source_open(path, &source, message);
    if (status != STATUS_OK)
        return status;
    status = log_layout_find(&source, &layout, message);
    if (status == STATUS_OK) {
        struct log_look look = {.delimiter = layout.delimiter, .decimal = layout.decimal, .bytes = source.size};
        look.header_line = layout.header >= 0 ? layout.lines[layout.header].number : 0;
        look.utf8 = is_utf8(&layout);
        look.invented = evidence_invented(&layout);
        look.refused = columns_find(&layout, source.name, options, &columns, &look.notices, &look.refusal) != STATUS_OK;
        if (look.refused) {
            take_headers(&layout, &look);
        } else {
            look.sign = columns.sign;
            look.columns = columns.choices;
            look.column_count = columns.count;
            columns.choices = NULL;
            columns_free(&columns);
        }
        take_rows(&layout, &look);
        log_layout_free(&layout);
        *ret_look = look;
    }
    source_close(&source);
    return status;
}

void log_look_free(struct log_look *look)
{
    free(look->columns);
    free(look->cells);
    notices_free(&look->notices);
    *look = (struct log_look){0};
}
