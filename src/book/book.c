#include "book/book.h"

#include "base/memory.h"
#include "book/backup.h"
#include "book/packed.h"
#include "book/schema.h"
#include "book/sql.h"
#include "book/state.h"
#include "book/tables.h"

#include <unistd.h>

enum { WAIT_MS = 5000 };

static enum status refuse(const char *path, struct message *message, const char *what, const char *remedy)
{
    status_fail(message, STATUS_UNREADABLE, "%s", what);
    status_at(message, path, 0, 0);
    status_remedy(message, "%s", remedy);
    return STATUS_UNREADABLE;
}

static int run(sqlite3 *handle, const char *statements)
{
    return sqlite3_exec(handle, statements, NULL, NULL, NULL);
}

static int pragma(sqlite3 *handle, const char *question, int64_t *ret_value)
{
    sqlite3_stmt *statement = NULL;
    int code = sqlite3_prepare_v2(handle, question, -1, &statement, NULL);
    if (code == SQLITE_OK)
        code = sqlite3_step(statement);
    if (code == SQLITE_ROW)
        *ret_value = sqlite3_column_int64(statement, 0);
    int end = sqlite3_finalize(statement);
    return code == SQLITE_ROW ? SQLITE_OK : end != SQLITE_OK ? end : SQLITE_ERROR;
}

/* Foreign keys hold, each commit is on the storage before it returns, and tables made by hand to do harm (views,
 * triggers with side effects) do none. EXTRA is FULL and more: while a book is made or brought up to date, a
 * rollback journal that was deleted cannot come back with a power loss and undo what was committed. */
static int settle(sqlite3 *handle, const struct book_options *options)
{
    sqlite3_extended_result_codes(handle, 1);
    sqlite3_busy_timeout(handle, options->wait_ms > 0 ? options->wait_ms : WAIT_MS);
    sqlite3_db_config(handle, SQLITE_DBCONFIG_DEFENSIVE, 1, NULL);
    sqlite3_db_config(handle, SQLITE_DBCONFIG_TRUSTED_SCHEMA, 0, NULL);
    return run(handle, "PRAGMA foreign_keys = ON; PRAGMA synchronous = EXTRA; PRAGMA cell_size_check = ON");
}

static struct book *book_new(const char *path, const struct book_options *options)
{
    struct book *book = memory_get(sizeof *book);
    book->path = memory_copy_string(path);
    book->access = options->access;
    book->held = held_file_take(path);
    return book;
}

/* psow=0: a write that the power loss cuts may hurt the rest of its sector too, as flash memory does. SQLite then
 * pads what it commits to whole sectors. */
static int open_file(struct book *book, const struct book_options *options, int flags, const char *more)
{
    struct text uri = TEXT_EMPTY;
    text_addf(&uri, "file:%s", book->path[0] == '/' ? "//" : ""); /* no host stands between the slashes */
    for (const char *p = book->path; *p != '\0'; p++) {
        if (strchr("%?#", *p) != NULL)
            text_addf(&uri, "%%%02X", (unsigned char)*p);
        else
            text_add_bytes(&uri, p, 1);
    }
    text_addf(&uri, "?psow=0%s", more);
    sqlite3_close(book->handle);
    book->handle = NULL;
    int code = sqlite3_open_v2(text_string(&uri), &book->handle, flags | SQLITE_OPEN_URI | SQLITE_OPEN_NOMUTEX,
                               options->vfs);
    text_free(&uri);
    return code == SQLITE_OK ? settle(book->handle, options) : code;
}

/* The tables first, the write-ahead log after: from then on the file itself says what it is. */
static int make(struct book *book, const struct book_options *options, int form)
{
    int code = open_file(book, options, SQLITE_OPEN_READWRITE, "");
    if (code == SQLITE_OK)
        code = schema_apply(book->handle, schema_steps, 0, form);
    if (code == SQLITE_OK)
        code = run(book->handle, "PRAGMA journal_mode = WAL");
    return code;
}

enum status book_create_old(const char *path, const struct book_options *options, int form, struct book **ret_book,
                            struct message *message)
{
    if (!book_claim(path, message))
        return STATUS_UNREADABLE;
    struct book *book = book_new(path, options);
    int code = make(book, options, form);
    if (code == SQLITE_OK) {
        *ret_book = book;
        return STATUS_OK;
    }
    enum status status = sql_explain(path, book->handle, code, message);
    book_close(book);
    book_remove_half(path);
    return status;
}

enum status book_create(const char *path, const struct book_options *options, struct book **ret_book,
                        struct message *message)
{
    return book_create_old(path, options, BOOK_FORM, ret_book, message);
}

enum status book_form(struct book *book, int *ret_form, struct message *message)
{
    struct sql q = sql_begin(book, "PRAGMA user_version");
    int form = sql_row(&q) ? (int)sql_integer_at(&q, 0) : 0;
    enum status status = sql_end(&q, message);
    if (status == STATUS_OK)
        *ret_form = form;
    return status;
}

enum status book_bring_up(struct book *book, struct message *message)
{
    int form = 0;
    enum status status = book_form(book, &form, message);
    if (status != STATUS_OK || form >= BOOK_FORM)
        return status;
    int code = schema_apply(book->handle, schema_steps, form, BOOK_FORM);
    return code == SQLITE_OK ? STATUS_OK : sql_explain(book->path, book->handle, code, message);
}

static uint32_t big_endian(const unsigned char *bytes)
{
    return (uint32_t)bytes[0] << 24 | (uint32_t)bytes[1] << 16 | (uint32_t)bytes[2] << 8 | bytes[3];
}

/* The first 100 bytes of a file that SQLite made: SQLite, Database File Format, 1.3. */
enum { HEAD_BYTES = 100, HEAD_APPLICATION = 68, HEAD_MAGIC = 16 };

/* A write-ahead log beside the file: a power loss can have hurt any page of the file that the log still holds, the
 * head too. SQLite, Database File Format, 4.1, gives its magic numbers. */
static bool has_log(const char *path)
{
    unsigned char magic[4];
    bool held; /* never: it is no book */
    struct text name = TEXT_EMPTY;
    text_addf(&name, "%s-wal", path);
    bool there = held_file_read_head(text_string(&name), magic, sizeof magic, &held) == sizeof magic &&
                 (big_endian(magic) & ~1u) == 0x377F0682;
    text_free(&name);
    return there;
}

bool book_look_like(const char *path)
{
    unsigned char head[HEAD_BYTES];
    bool held;
    size_t count = held_file_read_head(path, head, sizeof head, &held);
    return held || (count == sizeof head && memcmp(head, "SQLite format 3", HEAD_MAGIC) == 0 &&
            big_endian(head + HEAD_APPLICATION) == BOOK_APPLICATION) ||
           (count > 0 && has_log(path));
}

/* Before SQLite touches it: another program's file stays as it is to the last byte. */
static enum status look_at_head(const char *path, struct message *message)
{
    unsigned char head[HEAD_BYTES];
    bool held;
    size_t count = held_file_read_head(path, head, sizeof head, &held);
    if (count == 0 || has_log(path))
        return STATUS_OK; /* SQLite mends it from the log, or says what is wrong */
    if (memcmp(head, "SQLite format 3", count < HEAD_MAGIC ? count : HEAD_MAGIC) != 0)
        return refuse(path, message, "this is no book", "name a book, or make one with `rundown book new`");
    if (count < sizeof head)
        return refuse(path, message, "the book is cut short: not even its head is whole",
                      "go back to a backup; keep this file and any -wal file beside it as they are");
    if (big_endian(head + HEAD_APPLICATION) != BOOK_APPLICATION)
        return refuse(path, message, "this is the database of another program, no book",
                      "name a book, or make one with `rundown book new`; the file was left as it is");
    return STATUS_OK;
}

/* SQLite says only that something is wrong; the head tells how long the file should be. Read by SQLite's own hand: see
 * held_file.h. */
static enum status tell_fault(struct book *book, int code, struct message *message)
{
    unsigned char head[HEAD_BYTES];
    sqlite3_file *file = NULL;
    sqlite3_int64 size = 0;
    if ((code & 0xFF) == SQLITE_CORRUPT)
        (void)sqlite3_file_control(book->handle, "main", SQLITE_FCNTL_FILE_POINTER, &file);
    if (file == NULL || file->pMethods == NULL || file->pMethods->xFileSize(file, &size) != SQLITE_OK ||
        file->pMethods->xRead(file, head, sizeof head, 0) != SQLITE_OK)
        return sql_explain(book->path, book->handle, code, message);
    long long page = (long long)head[16] << 8 | head[17], wanted = page * big_endian(head + 28);
    if (size >= wanted)
        return sql_explain(book->path, book->handle, code, message);
    status_fail(message, STATUS_UNREADABLE, "the book is cut short: %lld bytes of %lld are there", (long long)size, wanted);
    status_at(message, book->path, 0, 0);
    status_remedy(message, "go back to a backup; keep this file and any -wal file beside it as they are");
    return STATUS_UNREADABLE;
}

static enum status identify(struct book *book, int64_t *ret_form, struct message *message)
{
    int64_t application = 0, pages = 0;
    int code = pragma(book->handle, "PRAGMA application_id", &application);
    if (code == SQLITE_OK)
        code = pragma(book->handle, "PRAGMA user_version", ret_form);
    if (code == SQLITE_OK)
        code = pragma(book->handle, "PRAGMA page_count", &pages);
    if (code != SQLITE_OK)
        return tell_fault(book, code, message);
    if (pages == 0)
        return refuse(book->path, message, "the file is empty", "remove it, then make a book with `rundown book new`");
    if (application != BOOK_APPLICATION || *ret_form < 1)
        return refuse(book->path, message, "this is the database of another program, no book",
                      "name a book, or make one with `rundown book new`; the file was left as it is");
    return STATUS_OK;
}

enum status book_upgrade(struct book *book, const char *const *const *steps, int from, int to, struct message *message)
{
    char copy[4096];
    int length = snprintf(copy, sizeof copy, "%s.before-%d", book->path, to);
    if (length < 0 || (size_t)length >= sizeof copy)
        return refuse(book->path, message, "the name of the book is too long", "move it to a shorter path");
    if (access(copy, F_OK) == 0)
        return refuse(copy, message, "this copy was made before the book was last brought up to date, which failed",
                      "look whether you still want it, move it away, and open the book again");
    enum status status = book_backup(book, copy, NULL, NULL, message);
    if (status != STATUS_OK)
        return status;
    int code = schema_apply(book->handle, steps, from, to);
    return code == SQLITE_OK ? STATUS_OK : sql_explain(book->path, book->handle, code, message);
}

static enum status match_form(struct book *book, struct message *message)
{
    int64_t form = 0;
    enum status status = identify(book, &form, message);
    if (status != STATUS_OK || form == BOOK_FORM)
        return status;
    if (form >= BOOK_FORM_READ && form < BOOK_FORM && book->access == BOOK_READ) {
        int code = run(book->handle, schema_stand_in((int)form));
        return code == SQLITE_OK ? STATUS_OK : tell_fault(book, code, message);
    }
    if (form < BOOK_FORM && book->access == BOOK_WRITE)
        return book_upgrade(book, schema_steps, (int)form, BOOK_FORM, message);
    if (form < BOOK_FORM)
        return refuse(book->path, message, "the book is of an older form",
                      "bring it up to date once with `rundown book check`, which keeps a copy");
    status_fail(message, STATUS_UNREADABLE, "the book is of form %lld, newer than this program, which knows forms up to %d",
                (long long)form, BOOK_FORM);
    status_at(message, book->path, 0, 0);
    status_remedy(message, "use a newer version of the program; the book was left as it is");
    return STATUS_UNREADABLE;
}

static int open_handle(struct book *book, const struct book_options *options)
{
    int64_t ignored = 0;
    int code = open_file(book, options, SQLITE_OPEN_READWRITE, "");
    if (code == SQLITE_OK)
        code = pragma(book->handle, "PRAGMA schema_version", &ignored);
    int cause = code & 0xFF;
    bool barred = cause == SQLITE_CANTOPEN || cause == SQLITE_READONLY || sql_lacks_room(book->handle, code);
    /* Where a folder may not be written, or has no room left, and holds no -wal file, nobody is writing: the file
     * alone is the book. */
    if (barred && options->access == BOOK_READ && !has_log(book->path))
        code = open_file(book, options, SQLITE_OPEN_READONLY, "&immutable=1");
    return code;
}

/* Taking the lock once shows at the start whether file and folder can be written at all. */
static int ready(struct book *book)
{
    if (book->access == BOOK_READ)
        return run(book->handle, "PRAGMA query_only = ON");
    if (sqlite3_db_readonly(book->handle, "main") != 0)
        return SQLITE_READONLY;
    int code = run(book->handle, "PRAGMA journal_mode = WAL");
    if (code == SQLITE_OK)
        code = run(book->handle, "BEGIN IMMEDIATE; COMMIT");
    return code;
}

enum status book_open(const char *path, const struct book_options *options, struct book **ret_book,
                      struct message *message)
{
    if (access(path, F_OK) != 0)
        return refuse(path, message, "there is no such file", "name a book, or make one with `rundown book new`");
    enum status status = look_at_head(path, message);
    if (status != STATUS_OK)
        return status;
    struct book *book = book_new(path, options);
    int code = open_handle(book, options);
    if (code != SQLITE_OK)
        status = tell_fault(book, code, message);
    if (status == STATUS_OK)
        status = match_form(book, message);
    if (status == STATUS_OK && (code = ready(book)) != SQLITE_OK)
        status = sql_explain(path, book->handle, code, message);
    if (status != STATUS_OK) {
        book_close(book);
        return status;
    }
    *ret_book = book;
    return STATUS_OK;
}

void book_close(struct book *book)
{
    if (book == NULL)
        return;
    for (int k = 0; k < book->kept_count; k++)
        sqlite3_finalize(book->kept[k].statement);
    if (book->handle != NULL && sqlite3_get_autocommit(book->handle) == 0)
        (void)run(book->handle, "ROLLBACK");
    sqlite3_close_v2(book->handle);
    held_file_drop(&book->held);
    block_workspace_free(book->workspace);
    free(book->path);
    free(book);
}

const char *book_path(const struct book *book)
{
    return book->path;
}

enum book_access book_access_of(const struct book *book)
{
    return book->access;
}

enum status book_version(struct book *book, int64_t *ret_version, struct message *message)
{
    struct sql q = sql_begin(book, "PRAGMA data_version"); /* rises with every commit of others */
    int64_t version = sql_row(&q) ? sql_integer_at(&q, 0) : 0;
    enum status status = sql_end(&q, message);
    if (status == STATUS_OK)
        *ret_version = version + sqlite3_total_changes64(book->handle);
    return status;
}
