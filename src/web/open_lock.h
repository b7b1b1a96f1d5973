/* Open lock: one server a book.
 *
 * A file `BOOK-open` beside the book, locked as long as the server lives and holding its address. The system drops
 * the lock when the process ends, however it ends: what a crash left lying holds nobody up. */
#ifndef RUNDOWN_WEB_OPEN_LOCK_H
#define RUNDOWN_WEB_OPEN_LOCK_H

#include "base/status.h"

/* STATUS_AMBIGUOUS when the book is served already; the message names the address. */
enum status open_lock(const char *book, int *ret_fd, struct message *message);
void open_lock_say(int fd, const char *address); /* for a second one to read */
void open_unlock(const char *book, int fd);      /* fd -1 is fine */

#endif
