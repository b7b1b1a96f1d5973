/* Schema: the tables, as numbered steps of SQL. A book of form N has gone through the first N steps; a step that
 * was ever released is never changed, and a book made with it stands in tests/golden. docs/book.md says what each
 * table and column means. */
#ifndef RUNDOWN_BOOK_SCHEMA_H
#define RUNDOWN_BOOK_SCHEMA_H

#include "book/book.h"

#include <sqlite3.h>

enum {
    BOOK_APPLICATION = 0x52756E64, /* "Rund", at byte 68 of the file */
    BOOK_FORM = 3,                 /* number of steps */
    BOOK_FORM_READ = 1,            /* the oldest that is read as it stands, with schema_stand_in */
};

/* Each step is a list of statements, ended by NULL. */
extern const char *const *const schema_steps[BOOK_FORM];

/* Takes a database from form `from` to form `to` in one transaction, in which no foreign key is enforced, so that a
 * table can be made anew; all are checked before its commit. Returns an SQLite code. */
int schema_apply(sqlite3 *handle, const char *const *const *steps, int from, int to);

/* Statements after which the queries of this form work on a book of form `from` that is only read: views of this
 * connection alone, nothing in the file. What form 3 took away (`teardown`) is seen once the book is brought up. */
const char *schema_stand_in(int from);

#endif
