/* Schema: the tables, as numbered steps of SQL. A book of form N has gone through the first N steps; a step that
 * was ever released is never changed, and a book made with it stands in tests/golden. docs/book.md says what each
 * table and column means. */
#ifndef RUNDOWN_BOOK_SCHEMA_H
#define RUNDOWN_BOOK_SCHEMA_H

#include "book/book.h"

#include <sqlite3.h>

enum {
    BOOK_APPLICATION = 0x52756E64, /* "Rund", at byte 68 of the file */
    BOOK_FORM = 2,                 /* number of steps */
    BOOK_FORM_READ = 1,            /* the oldest that is read as it stands: later steps only add what may be missing */
};

/* Each step is a list of statements, ended by NULL. */
extern const char *const *const schema_steps[BOOK_FORM];

/* Takes a database from form `from` to form `to` in one transaction; returns an SQLite code. */
int schema_apply(sqlite3 *handle, const char *const *const *steps, int from, int to);

#endif
