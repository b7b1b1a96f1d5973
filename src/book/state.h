/* State: what an open book holds; for the folder's own use. */
#ifndef RUNDOWN_BOOK_STATE_H
#define RUNDOWN_BOOK_STATE_H

#include "base/decimal.h"
#include "book/book.h"
#include "book/held_file.h"

#include <sqlite3.h>

enum { KEPT_STATEMENTS = 96, LIVE_STREAMS = 64 };

struct kept_statement {
    const char *literal;
    sqlite3_stmt *statement;
    bool taken;
};

/* What the journal of a stream ends with, so that appending need not look. Forgotten at every rollback and when
 * somebody else wrote. */
struct journal_tail {
    int64_t stream;
    size_t waiting; /* readings that no block holds yet */
    int columns;
    double last_s;  /* NaN: the stream is empty */
};

struct book {
    char *path;
    struct held_file held;
    sqlite3 *handle;
    enum book_access access;
    int depth; /* of begun transactions */
    struct kept_statement kept[KEPT_STATEMENTS];
    int kept_count;
    struct journal_tail tails[LIVE_STREAMS];
    int tail_count;
    int64_t tails_version; /* of the file when they were read */
    struct block_workspace *workspace; /* made when first wanted */
};

#endif
