#include "book/tables.h"

#include "base/memory.h"
#include "book/schema.h"
#include "book/sql.h"

int book_form_newest(void)
{
    return BOOK_FORM;
}

static enum table_kind kind_of(const char *declared)
{
    return strcmp(declared, "INTEGER") == 0 ? TABLE_INTEGER
           : strcmp(declared, "REAL") == 0  ? TABLE_REAL
           : strcmp(declared, "TEXT") == 0  ? TABLE_WORDS
                                            : TABLE_BYTES;
}

static enum status take_columns(struct book *book, struct book_table *form, struct message *message)
{
    struct sql q = sql_begin(book, "SELECT name, type FROM pragma_table_info(?1, 'main') ORDER BY cid");
    sql_words(&q, form->name);
    while (sql_row(&q) && form->columns < TABLE_COLUMNS) {
        sql_copy_at(&q, 0, form->column[form->columns], TABLE_NAME);
        form->kind[form->columns++] = kind_of(sql_words_at(&q, 1));
    }
    return sql_end(&q, message);
}

enum status book_tables(struct book *book, struct book_table_list *ret_forms, struct message *message)
{
    struct book_table_list forms = {0};
    size_t capacity = 0;
    /* a table was made after those it refers to; document, made anew since, refers to sample alone */
    struct sql q = sql_begin(book, "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%' "
                                   "AND name NOT IN ('block', 'journal', 'summary', 'digest') "
                                   "ORDER BY name <> 'sample', name <> 'document', rowid");
    while (sql_row(&q)) {
        forms.items = memory_grow(forms.items, forms.count, &capacity);
        forms.items[forms.count] = (struct book_table){0};
        sql_copy_at(&q, 0, forms.items[forms.count++].name, TABLE_NAME);
    }
    enum status status = sql_end(&q, message);
    for (size_t k = 0; k < forms.count && status == STATUS_OK; k++)
        status = take_columns(book, &forms.items[k], message);
    if (status == STATUS_OK)
        *ret_forms = forms;
    else
        book_table_list_free(&forms);
    return status;
}

void book_table_list_free(struct book_table_list *forms)
{
    free(forms->items);
    *forms = (struct book_table_list){0};
}

static sqlite3_stmt *prepare(struct book *book, const struct text *words)
{
    sqlite3_stmt *statement = NULL;
    return sqlite3_prepare_v2(sql_handle(book), text_string(words), -1, &statement, NULL) == SQLITE_OK ? statement : NULL;
}

static void add_columns(const struct book_table *form, struct text *words)
{
    for (int c = 0; c < form->columns; c++)
        text_addf(words, "%s%s", c > 0 ? ", " : "", form->column[c]);
}

static struct table_value value_at(sqlite3_stmt *statement, int column)
{
    struct table_value value = {.kind = TABLE_NULL};
    switch (sqlite3_column_type(statement, column)) {
    case SQLITE_INTEGER: value.kind = TABLE_INTEGER, value.integer = sqlite3_column_int64(statement, column); break;
    case SQLITE_FLOAT: value.kind = TABLE_REAL, value.real = sqlite3_column_double(statement, column); break;
    case SQLITE_TEXT:
        value.kind = TABLE_WORDS;
        value.span.p = (const char *)sqlite3_column_text(statement, column);
        value.span.n = (size_t)sqlite3_column_bytes(statement, column);
        break;
    case SQLITE_BLOB:
        value.kind = TABLE_BYTES;
        value.span.p = sqlite3_column_blob(statement, column);
        value.span.n = (size_t)sqlite3_column_bytes(statement, column);
        break;
    default: break;
    }
    return value;
}

enum status book_table_walk(struct book *book, const struct book_table *form,
                            bool (*visit)(void *context, const struct table_value *values), void *context,
                            struct message *message)
{
    struct text words = TEXT_EMPTY;
    struct table_value values[TABLE_COLUMNS];
    text_add(&words, "SELECT ");
    add_columns(form, &words);
    text_addf(&words, " FROM main.%s ORDER BY 1, 2", form->name); /* the primary key is the first, or the first two */
    sqlite3_stmt *statement = prepare(book, &words);
    int code = statement == NULL ? sqlite3_errcode(sql_handle(book)) : SQLITE_ROW;
    for (bool on = statement != NULL; on && (code = sqlite3_step(statement)) == SQLITE_ROW;) {
        for (int c = 0; c < form->columns; c++)
            values[c] = value_at(statement, c);
        on = visit(context, values);
    }
    enum status status = STATUS_OK;
    if (code != SQLITE_ROW && code != SQLITE_DONE)
        status = sql_explain(book_path(book), sql_handle(book), code, message);
    (void)sqlite3_finalize(statement);
    text_free(&words);
    return status;
}

static int bind(sqlite3_stmt *statement, int at, enum table_kind declared, const struct table_value *value)
{
    static const char nothing[1];
    const char *p = value->span.p != NULL ? value->span.p : nothing;
    switch (value->kind) {
    case TABLE_INTEGER: return sqlite3_bind_int64(statement, at, value->integer);
    case TABLE_REAL: return sqlite3_bind_double(statement, at, value->real);
    case TABLE_WORDS:
    case TABLE_BYTES:
        return declared == TABLE_BYTES ? sqlite3_bind_blob64(statement, at, p, value->span.n, SQLITE_STATIC)
                                       : sqlite3_bind_text64(statement, at, p, value->span.n, SQLITE_STATIC, SQLITE_UTF8);
    case TABLE_NULL: break;
    }
    return sqlite3_bind_null(statement, at);
}

enum status book_table_put(struct book *book, const struct book_table *form, const struct table_value *values,
                           struct message *message)
{
    struct text words = TEXT_EMPTY;
    text_addf(&words, "INSERT INTO %s (", form->name);
    add_columns(form, &words);
    text_add(&words, ") VALUES (");
    for (int c = 0; c < form->columns; c++)
        text_add(&words, c > 0 ? ", ?" : "?");
    text_add(&words, ")");
    sqlite3_stmt *statement = prepare(book, &words);
    int code = statement == NULL ? sqlite3_errcode(sql_handle(book)) : SQLITE_OK;
    for (int c = 0; c < form->columns && code == SQLITE_OK; c++)
        code = bind(statement, c + 1, form->kind[c], &values[c]);
    if (code == SQLITE_OK)
        code = sqlite3_step(statement);
    enum status status = STATUS_OK;
    if ((code & 0xFF) == SQLITE_CONSTRAINT || code == SQLITE_MISMATCH)
        status = status_fail(message, STATUS_MALFORMED, "a book does not hold this %s: %s", form->name,
                             sqlite3_errmsg(sql_handle(book)));
    else if (code != SQLITE_DONE)
        status = sql_explain(book_path(book), sql_handle(book), code, message);
    (void)sqlite3_finalize(statement);
    text_free(&words);
    return status;
}

enum status book_last_number(struct book *book, const struct book_table *form, int64_t *ret_last,
                             struct message *message)
{
    struct sql q = sql_begin(book, "SELECT seq FROM sqlite_sequence WHERE name = ?1");
    sql_words(&q, form->name);
    int64_t last = sql_row(&q) ? sql_integer_at(&q, 0) : 0;
    enum status status = sql_end(&q, message);
    if (status == STATUS_OK)
        *ret_last = last;
    return status;
}

enum status book_last_number_put(struct book *book, const struct book_table *form, int64_t last,
                                 struct message *message)
{
    int64_t now = 0;
    enum status status = book_last_number(book, form, &now, message);
    if (status != STATUS_OK || last <= now)
        return status;
    struct sql q = now > 0 ? sql_begin(book, "UPDATE sqlite_sequence SET seq = ?2 WHERE name = ?1")
                           : sql_begin(book, "INSERT INTO sqlite_sequence (name, seq) VALUES (?1, ?2)");
    sql_words(&q, form->name);
    sql_integer(&q, last);
    return sql_finish(&q, message);
}

static enum status add_lengths(struct sql *q, int64_t stream, size_t **lengths, size_t *count, size_t *capacity,
                               struct message *message)
{
    sql_integer(q, stream);
    while (sql_row(q)) {
        *lengths = memory_grow(*lengths, *count, capacity);
        (*lengths)[(*count)++] = (size_t)sql_integer_at(q, 0);
    }
    return sql_end(q, message);
}

enum status book_stream_parts(struct book *book, int64_t stream, size_t **ret_lengths, size_t *ret_blocks,
                              size_t *ret_journal, struct message *message)
{
    size_t *lengths = NULL, count = 0, capacity = 0, blocks = 0;
    struct sql q = sql_begin(book, "SELECT readings FROM block WHERE stream = ?1 ORDER BY seq");
    enum status status = add_lengths(&q, stream, &lengths, &count, &capacity, message);
    blocks = count;
    if (status == STATUS_OK) {
        q = sql_begin(book, "SELECT readings FROM journal WHERE stream = ?1 ORDER BY id");
        status = add_lengths(&q, stream, &lengths, &count, &capacity, message);
    }
    if (status != STATUS_OK) {
        free(lengths);
        return status;
    }
    *ret_lengths = lengths;
    *ret_blocks = blocks;
    *ret_journal = count - blocks;
    return STATUS_OK;
}
