/* The readings of a run as they came, digit by digit, with their numbers; of hand readings the lines as typed. */
#include "web/run_parts.h"

#include "archive/stored.h"
#include "base/memory.h"

enum { ROWS = 100, MOST_ROWS = 1000 };

struct rows {
    json_t *rows;
    size_t most;
    bool more;
};

static json_t *cell_json(struct decimal cell, const char **odd)
{
    char digits[DECIMAL_TEXT];
    if (cell.kind != DECIMAL_ODD) {
        decimal_print(cell, digits);
        return json_string(digits);
    }
    size_t n = *odd != NULL ? strcspn(*odd, "\n") : 0; /* its text is kept beside, row by row */
    json_t *text = json_stringn(*odd != NULL ? *odd : "", n);
    *odd += *odd != NULL ? n + ((*odd)[n] == '\n') : 0;
    return text;
}

static bool take_rows(void *context, const struct block_columns *block)
{
    struct rows *rows = context;
    const char *odd = block->odd;
    for (size_t k = 0; k < block->count; k++) {
        rows->more = json_array_size(rows->rows) == rows->most;
        if (rows->more)
            return false;
        json_t *row = json_array();
        for (int c = 0; c < block->columns; c++)
            json_array_append_new(row, cell_json(block->cells[c][k], &odd));
        json_array_append_new(rows->rows, row);
    }
    return true;
}

static enum status add_stream(struct book *book, const struct book_stream *stream, double from_s, double to_s, size_t most,
                              json_t *all, struct message *message)
{
    struct rows rows = {json_array(), most, false};
    int64_t before = 0;
    enum status status = stream_before(book, stream->id, from_s, &before, message);
    if (status == STATUS_OK)
        status = stream_walk(book, stream->id, from_s, to_s, take_rows, &rows, message);
    json_t *one = json_object(), *columns = json_array();
    for (int c = 0; c < stream->columns; c++) {
        json_t *column = json_object();
        json_put_words(column, "name", stream->column[c].name);
        json_put_words(column, "unit", stream->column[c].unit_symbol[0] != '\0' ? stream->column[c].unit_symbol
                                                                               : quantity_symbol(stream->column[c].quantity));
        json_array_append_new(columns, column);
    }
    json_put_words(one, "name", stream->name);
    json_put(one, "first", json_integer(before + 1));
    json_put(one, "columns", columns);
    json_put(one, "rows", rows.rows);
    json_put(one, "more", json_boolean(rows.more));
    json_array_append_new(all, one);
    return status;
}

/* Hand readings as they were typed: a text of lines, or lines typed while a recording ran. */
static enum status add_lines(struct book *book, int64_t run, json_t *all, struct message *message)
{
    struct text typed = TEXT_EMPTY;
    json_t *lines = json_array();
    long number = 0;
    enum status status = book_run_text_get(book, run, "readings", &typed, message);
    for (const char *p = text_string(&typed); status == STATUS_OK && *p != '\0';) {
        size_t n = strcspn(p, "\n");
        json_t *line = json_array();
        json_array_append_new(line, json_integer(++number));
        json_array_append_new(line, json_stringn(p, n));
        json_array_append_new(lines, line);
        p += n + (p[n] == '\n');
    }
    json_put(all, "lines", lines);
    text_free(&typed);
    return status;
}

static enum status read_all(struct book *book, int64_t run, double from_s, double to_s, size_t most, json_t **ret_value,
                            struct message *message)
{
    struct book_stream_list streams = {0};
    json_t *all = json_object(), *items = json_array();
    enum status status = book_streams(book, run, &streams, message);
    for (size_t k = 0; k < streams.count && status == STATUS_OK; k++)
        status = add_stream(book, &streams.items[k], from_s, to_s, most, items, message);
    json_put(all, "streams", items);
    if (status == STATUS_OK)
        status = add_lines(book, run, all, message);
    book_stream_list_free(&streams);
    if (status == STATUS_OK)
        *ret_value = all;
    else
        json_decref(all);
    return status;
}

void run_readings_answer(void *context, const struct http_request *request, struct http_reply *reply)
{
    struct workshop *workshop = context;
    struct message message = {0};
    int64_t run = 0;
    double from_s = -INFINITY, to_s = INFINITY, most = ROWS;
    json_t *value = NULL;
    const char *from = http_query(request, "from"), *to = http_query(request, "to");
    enum status status = http_id(request->parts[0], &run, &message);
    if (status == STATUS_OK && from != NULL)
        status = http_number("from", from, -1e12, 1e12, 0, &from_s, &message);
    if (status == STATUS_OK && to != NULL)
        status = http_number("to", to, -1e12, 1e12, 0, &to_s, &message);
    if (status == STATUS_OK)
        status = http_number("most", http_query(request, "most"), 1, MOST_ROWS, ROWS, &most, &message);
    struct book *book = status == STATUS_OK ? workshop_take(workshop, BOOK_READ, &message) : NULL;
    if (status == STATUS_OK && book == NULL)
        status = message.status;
    struct book_run found;
    if (book != NULL) {
        status = book_run_get(book, run, &found, &message);
        if (status == STATUS_OK)
            status = read_all(book, run, from_s, to_s, (size_t)most, &value, &message);
        workshop_put(workshop, book);
    }
    if (status == STATUS_OK)
        http_json(reply, value);
    else
        http_fail(reply, 0, &message);
}
