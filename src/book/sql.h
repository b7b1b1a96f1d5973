/* SQL: one statement at a time, for the folder's own use.
 *
 * Statements are prepared once and kept with the book, known by the address of their text: use literals. A fault
 * sticks: everything after it does nothing, and sql_end tells it, so that a caller writes
 *
 *     struct sql q = sql_begin(book, "SELECT name FROM sample WHERE id = ?1");
 *     sql_integer(&q, id);
 *     while (sql_row(&q))
 *         use(sql_words_at(&q, 0));
 *     return sql_end(&q, message);
 *
 * and never acts on a half-bound statement. Parameters are bound in order, from ?1. */
#ifndef RUNDOWN_BOOK_SQL_H
#define RUNDOWN_BOOK_SQL_H

#include "base/text.h"
#include "book/book.h"

#include <sqlite3.h>

struct sql {
    struct book *book;
    sqlite3_stmt *statement; /* NULL when it could not be prepared */
    int code;                /* SQLITE_OK, or the first fault */
    int bound;
};

struct sql sql_begin(struct book *book, const char *literal);
void sql_integer(struct sql *q, int64_t value);
void sql_key(struct sql *q, int64_t id);           /* 0 is NULL: refers to nothing */
void sql_real(struct sql *q, double value);        /* NaN is NULL */
void sql_words(struct sql *q, const char *value);  /* NULL is NULL; borrowed until sql_end */
void sql_bytes(struct sql *q, struct span value);  /* likewise; an empty span is an empty blob */
bool sql_row(struct sql *q);                       /* steps; false at the end and after a fault */
enum status sql_end(struct sql *q, struct message *message);
enum status sql_finish(struct sql *q, struct message *message); /* steps to the end, then sql_end */

/* Of the present row, columns from 0. Words and bytes are borrowed until the next sql_row or sql_end; NULL gives
 * 0, NaN, "" and an empty span. */
int64_t sql_integer_at(struct sql *q, int column);
double sql_real_at(struct sql *q, int column);
const char *sql_words_at(struct sql *q, int column);
struct span sql_bytes_at(struct sql *q, int column);
void sql_copy_at(struct sql *q, int column, char *buffer, size_t size); /* words, cut at a whole character */

/* Ends what book_begin began: commits when `status` is OK, else rolls back and returns `status`. */
enum status book_settle(struct book *book, enum status status, struct message *message);

int64_t sql_last_id(const struct book *book);
long sql_changes(const struct book *book);
sqlite3 *sql_handle(const struct book *book);

/* Whether a fault of the storage came of a lack of room on it. */
bool sql_lacks_room(sqlite3 *handle, int code);

/* Says what an SQLite code means for the book at `path`, and the remedy. `handle` may be NULL. */
enum status sql_explain(const char *path, sqlite3 *handle, int code, struct message *message);

/* Words of an enum as the tables hold them: `words` ends by NULL. A word that is not among them is corruption. */
enum status sql_word_find(const struct book *book, const char *const *words, const char *word, int *ret_index,
                          struct message *message);

#endif
