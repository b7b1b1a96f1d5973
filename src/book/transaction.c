/* Begin, commit, roll back: what book.h says of transactions. */
#include "book/book.h"

#include "book/sql.h"
#include "book/state.h"

static enum status tell(struct book *book, int code, struct message *message)
{
    return code == SQLITE_OK ? STATUS_OK : sql_explain(book->path, book->handle, code, message);
}

/* A full disk, a failing disk and a lack of memory can make SQLite roll back by itself, all of it. */
static bool lost(const struct book *book)
{
    return book->depth > 0 && sqlite3_get_autocommit(book->handle) != 0;
}

static int run(struct book *book, const char *statement)
{
    return sqlite3_exec(book->handle, statement, NULL, NULL, NULL);
}

enum status book_begin(struct book *book, struct message *message)
{
    int code = lost(book)                   ? SQLITE_ABORT_ROLLBACK
               : book->depth > 0            ? run(book, "SAVEPOINT inner_part")
               : book->access == BOOK_WRITE ? run(book, "BEGIN IMMEDIATE")
                                            : run(book, "BEGIN");
    book->depth += code == SQLITE_OK;
    return tell(book, code, message);
}

void book_rollback(struct book *book)
{
    if (book->depth == 0)
        return;
    book->tail_count = 0;
    if (!lost(book))
        (void)run(book, book->depth > 1 ? "ROLLBACK TO inner_part; RELEASE inner_part" : "ROLLBACK");
    book->depth--;
}

void book_rollback_all(struct book *book)
{
    while (book->depth > 0)
        book_rollback(book);
}

enum status book_commit(struct book *book, struct message *message)
{
    int code = lost(book)         ? SQLITE_ABORT_ROLLBACK
               : book->depth > 1  ? run(book, "RELEASE inner_part")
                                  : run(book, "COMMIT");
    enum status status = tell(book, code, message);
    if (code == SQLITE_OK)
        book->depth--;
    else
        book_rollback(book);
    return status;
}

enum status book_settle(struct book *book, enum status status, struct message *message)
{
    if (status == STATUS_OK)
        return book_commit(book, message);
    book_rollback(book);
    return status;
}
