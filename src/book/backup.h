/* Backup: book_backup of book.h, and bringing an older form up to date after one. */
#ifndef RUNDOWN_BOOK_BACKUP_H
#define RUNDOWN_BOOK_BACKUP_H

#include "book/book.h"

/* Copies the book to `NAME.before-N`, then takes it from form `from` to form `to`. Exposed for tests, which bring
 * steps of their own. */
enum status book_upgrade(struct book *book, const char *const *const *steps, int from, int to, struct message *message);

/* Makes an empty file; false, and a message, where one stands already or none can be made. Of two programs that want
 * the same name one gets it. */
bool book_claim(const char *path, struct message *message);

/* Half a book is none: the file, and what SQLite keeps beside it. What is not there is not missed. */
void book_remove_half(const char *path);

#endif
