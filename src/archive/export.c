#include "archive/export.h"

#include "archive/csv.h"
#include "archive/export_parts.h"
#include "base/memory.h"
#include "base/output.h"
#include "book/book_run.h"

#include <dirent.h>
#include <errno.h>
#include <sys/stat.h>
#include <unistd.h>

struct writer {
    struct book *book;
    struct transfer *transfer;
    char folder[EXPORT_PATH], path[EXPORT_PATH]; /* path: of the file in hand */
    FILE *file;
    const struct book_table *form;
    long rows; /* of the table in hand */
    struct text text;
    enum status status;
    struct message *message;
};

static bool start(struct writer *w, const char *name)
{
    snprintf(w->path, sizeof w->path, "%.1000s/%s", w->folder, name);
    w->file = fopen(w->path, "wbx");
    if (w->file == NULL)
        w->status = output_fail(w->path, errno, w->message);
    return w->file != NULL;
}

static void put(struct writer *w, const char *bytes, size_t count)
{
    if (w->status == STATUS_OK && fwrite(bytes, 1, count, w->file) != count)
        w->status = output_fail(w->path, errno, w->message);
}

static void put_words(struct writer *w, const char *words)
{
    put(w, words, strlen(words));
}

static void end(struct writer *w)
{
    if (w->file != NULL && fclose(w->file) != 0 && w->status == STATUS_OK)
        w->status = output_fail(w->path, errno, w->message);
    w->file = NULL;
}

static void put_file(struct writer *w, const char *name, struct span bytes)
{
    FILE *outer = w->file;
    char path[EXPORT_PATH];
    memcpy(path, w->path, sizeof path);
    if (start(w, name)) {
        put(w, bytes.p, bytes.n);
        end(w);
    }
    w->file = outer;
    memcpy(w->path, path, sizeof path);
}

static bool put_row(void *context, const struct table_value *values)
{
    struct writer *w = context;
    json_t *object = json_object();
    for (int c = 0; c < w->form->columns; c++) {
        char name[64];
        if (!export_is_file(w->form, c)) {
            json_put(object, w->form->column[c], export_value(&values[c]));
            continue;
        }
        export_picture_name(w->form, values, name, sizeof name);
        put_file(w, name, values[c].span);
        json_put(object, "file", json_string(name));
        w->transfer->pictures++;
    }
    w->text.length = 0;
    json_add_text(object, true, &w->text);
    json_decref(object);
    put_words(w, w->rows++ > 0 ? ",\n" : "\n");
    put(w, w->text.s, w->text.length);
    return w->status == STATUS_OK;
}

static void put_table(struct writer *w, const struct book_table *form)
{
    char name[64];
    snprintf(name, sizeof name, "%s.json", form->name);
    w->form = form;
    w->rows = 0;
    if (!start(w, name))
        return;
    put_words(w, "[");
    enum status status = book_table_walk(w->book, form, put_row, w, w->message);
    w->status = w->status == STATUS_OK ? status : w->status;
    put_words(w, "\n]\n");
    end(w);
    w->transfer->rows += w->rows;
}

static bool put_block(void *context, const struct block_columns *block)
{
    struct writer *w = context;
    w->text.length = 0;
    csv_add_block(block, &w->text);
    put(w, w->text.s, w->text.length);
    w->transfer->readings += (long)block->count;
    return w->status == STATUS_OK;
}

static json_t *lengths_json(const size_t *lengths, size_t count)
{
    json_t *list = json_array();
    for (size_t k = 0; k < count; k++)
        json_array_append_new(list, json_integer((json_int_t)lengths[k]));
    return list;
}

static void put_stream(struct writer *w, const struct book_stream *stream, json_t *parts)
{
    char name[64];
    size_t *lengths = NULL, blocks = 0, journal = 0;
    snprintf(name, sizeof name, EXPORT_READINGS "/%lld.csv", (long long)stream->id);
    w->status = book_stream_parts(w->book, stream->id, &lengths, &blocks, &journal, w->message);
    if (w->status != STATUS_OK || !start(w, name)) {
        free(lengths);
        return;
    }
    w->text.length = 0;
    csv_add_header(stream, &w->text);
    put(w, w->text.s, w->text.length);
    enum status status = stream_walk(w->book, stream->id, -INFINITY, INFINITY, put_block, w, w->message);
    w->status = w->status == STATUS_OK ? status : w->status;
    end(w);
    json_t *one = json_object();
    json_put(one, "stream", json_integer(stream->id));
    json_put(one, "blocks", lengths_json(lengths, blocks));
    json_put(one, "journal", lengths_json(lengths + blocks, journal));
    json_array_append_new(parts, one);
    free(lengths);
}

static void put_readings(struct writer *w, json_t *parts)
{
    struct book_run_list runs = {0};
    w->status = book_runs(w->book, 0, &runs, w->message);
    for (size_t k = 0; k < runs.count && w->status == STATUS_OK; k++) {
        struct book_stream_list streams = {0};
        w->status = book_streams(w->book, runs.items[k].id, &streams, w->message);
        for (size_t j = 0; j < streams.count && w->status == STATUS_OK; j++)
            put_stream(w, &streams.items[j], parts);
        book_stream_list_free(&streams);
        if (w->transfer->progress != NULL)
            w->transfer->progress(w->transfer->context, (double)(k + 1) / (double)runs.count);
    }
    book_run_list_free(&runs);
}

static void put_json(struct writer *w, const char *name, const json_t *json)
{
    struct text text = TEXT_EMPTY;
    json_add_text(json, false, &text);
    text_add(&text, "\n");
    put_file(w, name, (struct span){text.s, text.length});
    text_free(&text);
}

static void make_folder(struct writer *w, const char *name)
{
    char path[EXPORT_PATH];
    snprintf(path, sizeof path, "%.1000s/%s", w->folder, name);
    if (mkdir(path, 0777) != 0)
        w->status = output_fail(path, errno, w->message);
}

static void put_book(struct writer *w)
{
    struct book_table_list forms = {0};
    json_t *head = json_object(), *names = json_object(), *parts = json_array();
    int form = 0;
    w->status = book_form(w->book, &form, w->message);
    if (w->status == STATUS_OK)
        make_folder(w, EXPORT_READINGS);
    if (w->status == STATUS_OK)
        make_folder(w, EXPORT_PICTURES);
    if (w->status == STATUS_OK)
        w->status = book_tables(w->book, &forms, w->message);
    for (size_t k = 0; k < forms.count && w->status == STATUS_OK; k++) {
        int64_t last = 0;
        put_table(w, &forms.items[k]);
        if (w->status == STATUS_OK)
            w->status = book_last_number(w->book, &forms.items[k], &last, w->message);
        json_put(names, forms.items[k].name, json_integer(last));
    }
    if (w->status == STATUS_OK)
        put_readings(w, parts);
    json_put_words(head, "what", "a book of Rundown, exported; docs/book.md tells the form");
    json_put(head, "form", json_integer(form));
    json_put(head, "last_numbers", names);
    if (w->status == STATUS_OK)
        put_json(w, EXPORT_PARTS, parts);
    if (w->status == STATUS_OK)
        put_json(w, EXPORT_HEAD, head);
    json_decref(head);
    json_decref(parts);
    book_table_list_free(&forms);
}

/* A folder of this module's making: files, and folders of files. */
static void remove_folder(const char *folder, int depth)
{
    DIR *list = opendir(folder);
    for (struct dirent *entry; list != NULL && (entry = readdir(list)) != NULL;) {
        char path[EXPORT_PATH];
        if (strcmp(entry->d_name, ".") == 0 || strcmp(entry->d_name, "..") == 0)
            continue;
        snprintf(path, sizeof path, "%.900s/%s", folder, entry->d_name);
        if (unlink(path) != 0 && depth > 0)
            remove_folder(path, depth - 1);
    }
    if (list != NULL)
        closedir(list);
    (void)rmdir(folder);
}

static enum status refuse(const char *folder, struct message *message)
{
    status_fail(message, STATUS_UNREADABLE, "is there already and is not replaced");
    status_remedy(message, "name a folder that is not there yet");
    return status_at(message, folder, 0, 0);
}

enum status book_export(struct book *book, const char *folder, struct transfer *transfer, struct message *message)
{
    struct stat about;
    size_t n = strlen(folder);
    while (n > 1 && folder[n - 1] == '/')
        n--;
    if (n > 900)
        return output_fail(folder, ENAMETOOLONG, message);
    if (lstat(folder, &about) == 0)
        return refuse(folder, message);
    struct writer *w = memory_get(sizeof *w);
    *w = (struct writer){.book = book, .transfer = transfer, .message = message};
    snprintf(w->folder, sizeof w->folder, "%.*s.part-XXXXXX", (int)n, folder);
    if (mkdtemp(w->folder) == NULL) {
        w->status = output_fail(folder, errno, message);
    } else {
        (void)chmod(w->folder, 0755);
        w->status = book_begin(book, message); /* one state of the book throughout */
        if (w->status == STATUS_OK) {
            put_book(w);
            book_rollback(book);
        }
        if (w->status == STATUS_OK && rename(w->folder, folder) != 0)
            w->status = output_fail(folder, errno, message);
        if (w->status != STATUS_OK)
            remove_folder(w->folder, 1);
    }
    enum status status = w->status;
    text_free(&w->text);
    free(w);
    return status;
}
