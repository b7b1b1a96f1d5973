#include "archive/export.h"

#include "archive/csv.h"
#include "archive/export_parts.h"
#include "base/memory.h"
#include "book/book_run.h"

#include <errno.h>
#include <unistd.h>

enum { JSON_BYTES = 1 << 30, PICTURE_BYTES = 1 << 30, LINE_BYTES = 1 << 20 };

struct reader {
    struct book *book;
    struct transfer *transfer;
    const char *folder;
    char path[EXPORT_PATH]; /* of the file in hand */
    struct message *message;
};

static enum status cannot_read(struct reader *r, int error)
{
    status_fail(r->message, STATUS_UNREADABLE, "cannot be read: %s", strerror(error));
    status_remedy(r->message, "name a folder that `rundown book export` made");
    return status_at(r->message, r->path, 0, 0);
}

static enum status damaged(struct reader *r, long line, long column, const char *what)
{
    status_fail(r->message, STATUS_MALFORMED, "%s", what);
    status_remedy(r->message, "docs/book.md tells the form; export the book again if you can");
    return status_at(r->message, r->path, line, column);
}

static enum status load(struct reader *r, const char *name, size_t limit, struct text *ret_text)
{
    snprintf(r->path, sizeof r->path, "%.1000s/%s", r->folder, name);
    int error = text_read_file(r->path, limit, ret_text);
    return error == 0 ? STATUS_OK : cannot_read(r, error);
}

static enum status load_json(struct reader *r, const char *name, json_t **ret_json)
{
    struct text text = TEXT_EMPTY;
    enum status status = load(r, name, JSON_BYTES, &text);
    if (status == STATUS_OK)
        status = json_parse(r->path, 1, (struct span){text_string(&text), text.length}, ret_json, r->message);
    text_free(&text);
    return status;
}

/* Bytes that the values of one row borrow. */
struct borrowed {
    struct text hex[TABLE_COLUMNS], file;
};

static enum status take_file(struct reader *r, const struct book_table *form, struct table_value *values, int column,
                             struct borrowed *borrowed)
{
    char name[64], path[EXPORT_PATH];
    export_picture_name(form, values, name, sizeof name); /* made anew: a name from outside could lead anywhere */
    memcpy(path, r->path, sizeof path);
    enum status status = load(r, name, PICTURE_BYTES, &borrowed->file);
    if (status == STATUS_OK) {
        values[column] = (struct table_value){.kind = TABLE_BYTES};
        values[column].span = (struct span){text_string(&borrowed->file), borrowed->file.length};
        memcpy(r->path, path, sizeof path);
        r->transfer->pictures++;
    }
    return status;
}

static enum status take_row(struct reader *r, const struct book_table *form, const json_t *row, size_t number,
                            struct borrowed *borrowed)
{
    struct table_value values[TABLE_COLUMNS];
    int file = -1;
    char what[160];
    for (int c = 0; c < form->columns; c++) {
        const json_t *json = json_object_get(row, form->column[c]);
        values[c] = (struct table_value){.kind = TABLE_NULL};
        if (export_is_file(form, c)) {
            file = c;
        } else if (json == NULL || !export_take_value(json, &values[c], &borrowed->hex[c])) {
            snprintf(what, sizeof what, "row %zu has no '%s' that can be read", number, form->column[c]);
            return damaged(r, 0, 0, what);
        }
    }
    enum status status = file >= 0 ? take_file(r, form, values, file, borrowed) : STATUS_OK;
    if (status == STATUS_OK)
        status = book_table_put(r->book, form, values, r->message);
    if (status == STATUS_MALFORMED)
        status_at(r->message, r->path, 0, 0);
    r->transfer->rows += status == STATUS_OK;
    return status;
}

static enum status take_table(struct reader *r, const struct book_table *form)
{
    char name[64];
    json_t *rows = NULL;
    snprintf(name, sizeof name, "%s.json", form->name);
    enum status status = load_json(r, name, &rows);
    if (status == STATUS_OK && !json_is_array(rows))
        status = damaged(r, 1, 1, "this is no list of rows");
    struct borrowed *borrowed = memory_get(sizeof *borrowed);
    for (size_t k = 0; status == STATUS_OK && k < json_array_size(rows); k++)
        status = take_row(r, form, json_array_get(rows, k), k + 1, borrowed);
    for (int c = 0; c < TABLE_COLUMNS; c++)
        text_free(&borrowed->hex[c]);
    text_free(&borrowed->file);
    free(borrowed);
    json_decref(rows);
    return status;
}

/* The readings of one stream, line by line. */
struct lines {
    FILE *file;
    char *line;
    size_t capacity;
    long number;
    int columns;
    int64_t stream;
    struct decimal *cells[BLOCK_COLUMNS];
    struct text odd;
    double last_s; /* the time before; -INFINITY at first */
};

/* False at the end. The line's end is cut off. */
static bool next_line(struct lines *lines, struct span *ret_line)
{
    ssize_t n = getline(&lines->line, &lines->capacity, lines->file);
    if (n < 0)
        return false;
    lines->number++;
    while (n > 0 && (lines->line[n - 1] == '\n' || lines->line[n - 1] == '\r'))
        n--;
    *ret_line = (struct span){lines->line, (size_t)n};
    return true;
}

static enum status take_part(struct reader *r, struct lines *lines, const json_t *length, bool journal)
{
    long long count = json_integer_value(length);
    int column = 0;
    struct span line;
    if (count < 1 || count > BLOCK_READINGS)
        return damaged(r, 0, 0, "parts.json gives a stretch of this stream a length that none has");
    lines->odd.length = 0;
    for (long long k = 0; k < count; k++) {
        if (!next_line(lines, &line))
            return damaged(r, lines->number, 0, "there are fewer readings than parts.json tells");
        if (!csv_take_line(line, lines->columns, (size_t)k, lines->cells, &lines->odd, &column))
            return damaged(r, lines->number, column, "this is no reading of so many columns");
        double t_s = decimal_value(lines->cells[0][k]);
        if (!(t_s >= lines->last_s) || isinf(t_s))
            return damaged(r, lines->number, 1, "this is no time, or one before that of the line above");
        lines->last_s = t_s;
    }
    struct block_columns block = {.count = (size_t)count, .columns = lines->columns};
    block.odd = lines->odd.length > 0 ? lines->odd.s : "";
    for (int c = 0; c < lines->columns; c++)
        block.cells[c] = lines->cells[c];
    enum status status = journal ? stream_append(r->book, lines->stream, &block, r->message)
                                 : stream_fill(r->book, lines->stream, &block, r->message);
    if (status != STATUS_OK && r->message != NULL && r->message->file[0] == '\0')
        status_at(r->message, r->path, lines->number, 0);
    r->transfer->readings += status == STATUS_OK ? (long)count : 0;
    return status;
}

static enum status take_lines(struct reader *r, struct lines *lines, const json_t *blocks, const json_t *journal)
{
    struct span line;
    enum status status = STATUS_OK;
    if (!next_line(lines, &line))
        return damaged(r, 1, 0, "there is no line of names");
    for (size_t k = 0; k < json_array_size(blocks) && status == STATUS_OK; k++)
        status = take_part(r, lines, json_array_get(blocks, k), false);
    for (size_t k = 0; k < json_array_size(journal) && status == STATUS_OK; k++)
        status = take_part(r, lines, json_array_get(journal, k), true);
    if (status == STATUS_OK && next_line(lines, &line))
        status = damaged(r, lines->number, 0, "there are more readings than parts.json tells");
    return status;
}

static enum status take_stream(struct reader *r, const struct book_stream *stream, const json_t *part)
{
    const json_t *blocks = json_object_get(part, "blocks"), *journal = json_object_get(part, "journal");
    if (!json_is_array(blocks) || !json_is_array(journal))
        return damaged(r, 0, 0, "a stream of the book has no lists of blocks and journal");
    snprintf(r->path, sizeof r->path, "%.1000s/" EXPORT_READINGS "/%lld.csv", r->folder, (long long)stream->id);
    struct lines *lines = memory_get(sizeof *lines);
    lines->columns = stream->columns + 1;
    lines->stream = stream->id;
    lines->last_s = -INFINITY;
    lines->file = fopen(r->path, "rb");
    enum status status = lines->file == NULL ? cannot_read(r, errno) : STATUS_OK;
    for (int c = 0; c < lines->columns; c++)
        lines->cells[c] = memory_get(BLOCK_READINGS * sizeof *lines->cells[c]);
    if (status == STATUS_OK)
        status = take_lines(r, lines, blocks, journal);
    for (int c = 0; c < lines->columns; c++)
        free(lines->cells[c]);
    if (lines->file != NULL)
        fclose(lines->file);
    text_free(&lines->odd);
    free(lines->line);
    free(lines);
    return status;
}

static const json_t *part_of(const json_t *parts, int64_t stream)
{
    for (size_t k = 0; k < json_array_size(parts); k++)
        if (json_integer_value(json_object_get(json_array_get(parts, k), "stream")) == stream)
            return json_array_get(parts, k);
    return NULL;
}

static enum status take_readings(struct reader *r)
{
    json_t *parts = NULL;
    struct book_run_list runs = {0};
    enum status status = load_json(r, EXPORT_PARTS, &parts);
    if (status == STATUS_OK)
        status = book_runs(r->book, 0, &runs, r->message);
    for (size_t k = 0; k < runs.count && status == STATUS_OK; k++) {
        struct book_stream_list streams = {0};
        status = book_streams(r->book, runs.items[k].id, &streams, r->message);
        for (size_t j = 0; j < streams.count && status == STATUS_OK; j++)
            status = take_stream(r, &streams.items[j], part_of(parts, streams.items[j].id));
        book_stream_list_free(&streams);
        if (r->transfer->progress != NULL)
            r->transfer->progress(r->transfer->context, (double)(k + 1) / (double)runs.count);
    }
    book_run_list_free(&runs);
    json_decref(parts);
    return status;
}

static enum status take_all(struct reader *r, const json_t *head)
{
    struct book_table_list forms = {0};
    enum status status = book_tables(r->book, &forms, r->message);
    for (size_t k = 0; k < forms.count && status == STATUS_OK; k++) {
        const json_t *last = json_object_get(json_object_get(head, "last_numbers"), forms.items[k].name);
        status = take_table(r, &forms.items[k]);
        if (status == STATUS_OK && json_is_integer(last))
            status = book_last_number_put(r->book, &forms.items[k], json_integer_value(last), r->message);
    }
    book_table_list_free(&forms);
    return status == STATUS_OK ? take_readings(r) : status;
}

static enum status take_head(struct reader *r, int *ret_form, json_t **ret_head)
{
    json_t *head = NULL;
    enum status status = load_json(r, EXPORT_HEAD, &head);
    if (status != STATUS_OK)
        return status;
    long long form = json_integer_value(json_object_get(head, "form"));
    if (form < 1 || form > book_form_newest()) {
        status_fail(r->message, STATUS_MALFORMED, "this is an export of form %lld, and this program takes forms up to %d",
                    form, book_form_newest());
        status_remedy(r->message, form > book_form_newest() ? "use a newer Rundown" : "export the book again");
        status = status_at(r->message, r->path, 0, 0);
    }
    if (status == STATUS_OK)
        *ret_form = (int)form, *ret_head = head;
    else
        json_decref(head);
    return status;
}

static void remove_book(const char *path)
{
    static const char *const endings[] = {"", "-wal", "-shm", "-journal"};
    for (size_t k = 0; k < sizeof endings / sizeof *endings; k++) {
        char name[EXPORT_PATH];
        snprintf(name, sizeof name, "%.1100s%s", path, endings[k]);
        unlink(name);
    }
}

enum status book_import(const char *folder, const char *path, struct transfer *transfer, struct message *message)
{
    struct reader *r = memory_get(sizeof *r);
    *r = (struct reader){.transfer = transfer, .folder = folder, .message = message};
    struct book_options options = {.access = BOOK_WRITE};
    json_t *head = NULL;
    int form = 0; /* filled as the book was that went out, then brought up to date as that one would be */
    enum status status = take_head(r, &form, &head);
    if (status == STATUS_OK && (status = book_create_old(path, &options, form, &r->book, message)) == STATUS_OK) {
        status = book_begin(r->book, message);
        if (status == STATUS_OK) {
            status = take_all(r, head);
            if (status == STATUS_OK)
                status = book_commit(r->book, message);
            else
                book_rollback(r->book);
        }
        if (status == STATUS_OK)
            status = book_bring_up(r->book, message);
        book_close(r->book);
        if (status != STATUS_OK)
            remove_book(path);
    }
    json_decref(head);
    free(r);
    return status;
}
