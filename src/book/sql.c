#include "book/sql.h"

#include "book/state.h"

#include <errno.h>

static int prepare(struct book *book, const char *literal, unsigned flags, sqlite3_stmt **ret_statement)
{
    return sqlite3_prepare_v3(book->handle, literal, -1, flags, ret_statement, NULL);
}

static struct kept_statement *keep(struct book *book, const char *literal, int *ret_code)
{
    for (int k = 0; k < book->kept_count; k++)
        if (book->kept[k].literal == literal)
            return &book->kept[k];
    if (book->kept_count == KEPT_STATEMENTS)
        return NULL;
    struct kept_statement *kept = &book->kept[book->kept_count];
    *ret_code = prepare(book, literal, SQLITE_PREPARE_PERSISTENT, &kept->statement);
    if (*ret_code != SQLITE_OK)
        return NULL;
    kept->literal = literal;
    book->kept_count++;
    return kept;
}

struct sql sql_begin(struct book *book, const char *literal)
{
    struct sql q = {.book = book};
    /* A severe fault has rolled back what was begun: nothing may be committed on its own in its stead. */
    if (book->depth > 0 && sqlite3_get_autocommit(book->handle) != 0) {
        q.code = SQLITE_ABORT_ROLLBACK;
        return q;
    }
    struct kept_statement *kept = keep(book, literal, &q.code);
    if (kept != NULL && !kept->taken) {
        kept->taken = true;
        q.statement = kept->statement;
    } else if (q.code == SQLITE_OK) { /* in use further up: one of its own */
        q.code = prepare(book, literal, 0, &q.statement);
    }
    return q;
}

static bool sound(const struct sql *q)
{
    return q->code == SQLITE_OK && q->statement != NULL;
}

void sql_integer(struct sql *q, int64_t value)
{
    q->bound++;
    if (sound(q))
        q->code = sqlite3_bind_int64(q->statement, q->bound, value);
}

void sql_key(struct sql *q, int64_t id)
{
    if (id != 0)
        sql_integer(q, id);
    else
        q->bound++; /* what is not bound is NULL */
}

void sql_real(struct sql *q, double value)
{
    q->bound++;
    if (sound(q) && !isnan(value))
        q->code = sqlite3_bind_double(q->statement, q->bound, value);
}

void sql_words(struct sql *q, const char *value)
{
    q->bound++;
    if (sound(q))
        q->code = sqlite3_bind_text(q->statement, q->bound, value, -1, SQLITE_STATIC);
}

void sql_bytes(struct sql *q, struct span value)
{
    q->bound++;
    if (sound(q))
        q->code = sqlite3_bind_blob64(q->statement, q->bound, value.n > 0 ? value.p : "", value.n, SQLITE_STATIC);
}

bool sql_row(struct sql *q)
{
    if (!sound(q))
        return false;
    int code = sqlite3_step(q->statement);
    if (code == SQLITE_ROW)
        return true;
    if (code != SQLITE_DONE)
        q->code = code;
    return false;
}

static void let_go(struct sql *q)
{
    if (q->statement == NULL)
        return;
    for (int k = 0; k < q->book->kept_count; k++) {
        struct kept_statement *kept = &q->book->kept[k];
        if (kept->statement == q->statement) {
            sqlite3_reset(q->statement);
            sqlite3_clear_bindings(q->statement);
            kept->taken = false;
            q->statement = NULL;
            return;
        }
    }
    sqlite3_finalize(q->statement);
    q->statement = NULL;
}

enum status sql_end(struct sql *q, struct message *message)
{
    enum status status =
        q->code == SQLITE_OK ? STATUS_OK : sql_explain(q->book->path, q->book->handle, q->code, message);
    let_go(q);
    return status;
}

enum status sql_finish(struct sql *q, struct message *message)
{
    while (sql_row(q))
        continue;
    return sql_end(q, message);
}

int64_t sql_integer_at(struct sql *q, int column)
{
    return sound(q) ? sqlite3_column_int64(q->statement, column) : 0;
}

double sql_real_at(struct sql *q, int column)
{
    if (!sound(q) || sqlite3_column_type(q->statement, column) == SQLITE_NULL)
        return NAN;
    return sqlite3_column_double(q->statement, column);
}

const char *sql_words_at(struct sql *q, int column)
{
    if (!sound(q) || sqlite3_column_type(q->statement, column) == SQLITE_NULL)
        return "";
    const char *words = (const char *)sqlite3_column_text(q->statement, column);
    if (words == NULL)
        q->code = SQLITE_NOMEM;
    return words != NULL ? words : "";
}

struct span sql_bytes_at(struct sql *q, int column)
{
    if (!sound(q) || sqlite3_column_type(q->statement, column) == SQLITE_NULL)
        return (struct span){"", 0};
    const char *bytes = sqlite3_column_blob(q->statement, column);
    size_t count = (size_t)sqlite3_column_bytes(q->statement, column);
    if (bytes == NULL && count > 0)
        q->code = SQLITE_NOMEM;
    return bytes != NULL ? (struct span){bytes, count} : (struct span){"", 0};
}

void sql_copy_at(struct sql *q, int column, char *buffer, size_t size)
{
    span_copy(span_of(sql_words_at(q, column)), buffer, size);
}

int64_t sql_last_id(const struct book *book)
{
    return sqlite3_last_insert_rowid(book->handle);
}

long sql_changes(const struct book *book)
{
    return (long)sqlite3_changes64(book->handle);
}

sqlite3 *sql_handle(const struct book *book)
{
    return book->handle;
}

enum status sql_word_find(const struct book *book, const char *const *words, const char *word, int *ret_index,
                          struct message *message)
{
    for (int k = 0; words[k] != NULL; k++) {
        if (strcmp(words[k], word) == 0) {
            *ret_index = k;
            return STATUS_OK;
        }
    }
    status_fail(message, STATUS_UNREADABLE, "the book holds the word '%s' where only set words can stand", word);
    status_at(message, book->path, 0, 0);
    status_remedy(message, "it is damaged or was altered by hand: see `rundown book check`, or go back to a backup");
    return STATUS_UNREADABLE;
}

/* What is wrong and what to do, by primary code. */
static const struct {
    int code;
    enum status status;
    const char *what, *remedy;
} causes[] = {
    {SQLITE_BUSY, STATUS_UNREADABLE, "the book is being written by another program",
     "wait until that is done, or close it; nothing was changed"},
    {SQLITE_LOCKED, STATUS_UNREADABLE, "the book is being written by another program",
     "wait until that is done, or close it; nothing was changed"},
    {SQLITE_NOTADB, STATUS_UNREADABLE, "this is no book",
     "name a book, or make one with `rundown book new`; the file was left as it is"},
    {SQLITE_CORRUPT, STATUS_UNREADABLE, "the book is damaged",
     "keep the file as it is, go back to the latest backup, or save what can still be read with `rundown book export`"},
    {SQLITE_FULL, STATUS_UNREADABLE, "the disk is full",
     "make room and try again: what was committed before still stands"},
    {SQLITE_READONLY, STATUS_UNREADABLE, "the book cannot be written here",
     "move it to a folder that you may write to, or change the rights of file and folder"},
    {SQLITE_PERM, STATUS_UNREADABLE, "the book may not be opened", "change the rights of the file"},
    {SQLITE_CANTOPEN, STATUS_UNREADABLE, "the book cannot be opened",
     "look whether file and folder exist and you may write to both: a book keeps its -wal file beside it"},
    {SQLITE_IOERR, STATUS_UNREADABLE, "the storage failed",
     "look after the disk or the connection to it: what was committed before still stands"},
    {SQLITE_NOMEM, STATUS_LIMIT, "there is not enough memory", "close other programs: nothing was changed"},
    {SQLITE_TOOBIG, STATUS_LIMIT, "this is larger than a book can hold in one piece", "cut it into parts"},
    {SQLITE_ABORT, STATUS_UNREADABLE, "what was begun has been undone after a fault",
     "see the fault told before: what was committed earlier still stands"},
    {SQLITE_CONSTRAINT, STATUS_MALFORMED, "this would contradict what the book holds", "nothing was changed"},
    {SQLITE_PROTOCOL, STATUS_UNREADABLE, "the book could not be locked", "try again when other programs are done"},
};

bool sql_lacks_room(sqlite3 *handle, int code)
{
    int cause = handle != NULL && (code & 0xFF) == SQLITE_IOERR ? sqlite3_system_errno(handle) : 0;
    return (code & 0xFF) == SQLITE_FULL || cause == ENOSPC || cause == EDQUOT;
}

enum status sql_explain(const char *path, sqlite3 *handle, int code, struct message *message)
{
    if (sql_lacks_room(handle, code))
        code = SQLITE_FULL;
    const char *detail = handle != NULL && sqlite3_errcode(handle) == code ? sqlite3_errmsg(handle) : sqlite3_errstr(code);
    size_t k = 0, count = sizeof causes / sizeof causes[0];
    while (k < count && causes[k].code != (code & 0xFF))
        k++;
    enum status status = k < count ? causes[k].status : STATUS_UNREADABLE;
    int cause = handle != NULL ? sqlite3_system_errno(handle) : 0;
    status_fail(message, status, "%s (%s%s%s)", k < count ? causes[k].what : "the book cannot be used", detail,
                cause != 0 && (code & 0xFF) == SQLITE_IOERR ? ": " : "",
                cause != 0 && (code & 0xFF) == SQLITE_IOERR ? strerror(cause) : "");
    status_at(message, path, 0, 0);
    status_remedy(message, "%s", k < count ? causes[k].remedy : "try again; `rundown book check` looks it over");
    return status;
}
