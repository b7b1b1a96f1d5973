/* Pool: handles of one book, each for one thread at a time; those that are not in use wait to be taken again. */
#ifndef RUNDOWN_WEB_POOL_H
#define RUNDOWN_WEB_POOL_H

#include "book/book.h"

struct pool;
struct pool *pool_new(const char *path);
void pool_free(struct pool *pool); /* all must have been put back */

struct book *pool_take(struct pool *pool, enum book_access access, struct message *message); /* NULL: see message */
void pool_put(struct pool *pool, struct book *book);

#endif
