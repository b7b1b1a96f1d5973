/* Backup: book_backup of book.h, and bringing an older form up to date after one. */
#ifndef RUNDOWN_BOOK_BACKUP_H
#define RUNDOWN_BOOK_BACKUP_H

#include "book/book.h"

/* Copies the book to `NAME.before-N`, then takes it from form `from` to form `to`. Exposed for tests, which bring
 * steps of their own. */
enum status book_upgrade(struct book *book, const char *const *const *steps, int from, int to, struct message *message);

#endif
