/* Spool: a folder `BOOK-spool` beside the book for what was sent and is not in the book yet. Nobody else may look
 * into it. It is there while the server lives; what a crash left in it is thrown away at the next start. */
#ifndef RUNDOWN_WEB_SPOOL_H
#define RUNDOWN_WEB_SPOOL_H

#include "base/status.h"

/* The open lock of the book is held. The path is the caller's. */
enum status spool_make(const char *book, char **ret_path, struct message *message);
void spool_remove(const char *path); /* NULL is fine */

#endif
