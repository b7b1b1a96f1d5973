/* Book: the one file that holds all that a workshop has tested. SQLite; the only folder that knows SQL.
 *
 * What was observed (documents as typed, readings digit by digit, marks, gaps, calls) is kept apart from what
 * can be recomputed from it (block summaries, findings). Nothing observed is overwritten: a correction adds a
 * version and keeps the old one. STRICT tables, foreign keys, WAL, application_id, numbered migrations.
 *
 * One writer at a time, any number of readers. docs/book.md is the format. Every message names the book and
 * the remedy: locked, foreign, newer than this program, truncated, corrupt, folder not writable, disk full. */
#ifndef RUNDOWN_BOOK_BOOK_H
#define RUNDOWN_BOOK_BOOK_H

#include "base/status.h"

#include <stdbool.h>
#include <stdint.h>

struct book; /* not for several threads: each opens its own */

enum book_access { BOOK_READ, BOOK_WRITE };

struct book_options {
    enum book_access access;
    const char *vfs; /* NULL: the machine's own; a test's layer over it */
    int wait_ms;     /* for another program that writes; 0: 5 s */
    /* A book of an older form is read as it stands, and brought up to date when opened for writing, after a copy
     * `NAME.before-N`. */
};

enum status book_create(const char *path, const struct book_options *options, struct book **ret_book,
                        struct message *message); /* fails where a file already stands */
enum status book_open(const char *path, const struct book_options *options, struct book **ret_book,
                      struct message *message);
void book_close(struct book *book); /* NULL is fine; what was not committed is rolled back */
const char *book_path(const struct book *book);
enum book_access book_access_of(const struct book *book);

/* True when the file begins as a book does; never an error. */
bool book_look_like(const char *path);

/* Nested: only the outermost commit reaches the disk. Writing functions of this folder begin and commit by
 * themselves when no transaction is open. */
enum status book_begin(struct book *book, struct message *message);
enum status book_commit(struct book *book, struct message *message);
void book_rollback(struct book *book);
void book_rollback_all(struct book *book); /* of every depth: for a handle that comes back from whoever had it */

/* Rises with every commit of any program; for readers that follow a recording. */
enum status book_version(struct book *book, int64_t *ret_version, struct message *message);

/* SQLite's own check, the foreign keys, and every block: checksum, count, integrals recomputed from its
 * readings. `found` is called for each fault; *ret_faults counts them. */
enum status book_check(struct book *book, void (*found)(void *context, const char *fault),
                       void (*progress)(void *context, double share), void *context, long *ret_faults,
                       struct message *message);
/* Online: others may write meanwhile. Refuses to replace a file. */
enum status book_backup(struct book *book, const char *path, void (*progress)(void *context, double share),
                        void *context, struct message *message);

#endif
