/* Export: a whole book as a folder of open formats, and a book made again from one. docs/book.md is the form:
 * book.json, a JSON file a table, the readings as CSV with every digit, the pictures as the files they were.
 *
 * The folder is written beside its name and takes it when all of it is there; a book that cannot be read in whole
 * is not left behind. */
#ifndef RUNDOWN_ARCHIVE_EXPORT_H
#define RUNDOWN_ARCHIVE_EXPORT_H

#include "book/book.h"

struct transfer {
    void (*progress)(void *context, double share); /* may be NULL */
    void *context;
    long rows, readings, pictures; /* counted */
};

/* Refuses a folder that is there already. */
enum status book_export(struct book *book, const char *folder, struct transfer *transfer, struct message *message);

/* Refuses a book that is there already. */
enum status book_import(const char *folder, const char *path, struct transfer *transfer, struct message *message);

#endif
