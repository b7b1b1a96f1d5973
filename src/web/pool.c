#include "web/pool.h"

#include "base/memory.h"

#include <pthread.h>

enum { IDLE = 16 };

struct pool {
    char *path;
    pthread_mutex_t lock;
    struct book *idle[IDLE];
    size_t count;
};

struct pool *pool_new(const char *path)
{
    struct pool *pool = memory_get(sizeof *pool);
    pool->path = memory_copy_string(path);
    pthread_mutex_init(&pool->lock, NULL);
    return pool;
}

void pool_free(struct pool *pool)
{
    if (pool == NULL)
        return;
    for (size_t k = 0; k < pool->count; k++)
        book_close(pool->idle[k]);
    pthread_mutex_destroy(&pool->lock);
    free(pool->path);
    free(pool);
}

static struct book *take_idle(struct pool *pool, enum book_access access)
{
    struct book *book = NULL;
    pthread_mutex_lock(&pool->lock);
    for (size_t k = pool->count; k-- > 0 && book == NULL;) {
        if (book_access_of(pool->idle[k]) != access)
            continue;
        book = pool->idle[k];
        pool->idle[k] = pool->idle[--pool->count];
    }
    pthread_mutex_unlock(&pool->lock);
    return book;
}

struct book *pool_take(struct pool *pool, enum book_access access, struct message *message)
{
    struct book_options options = {.access = access};
    struct book *book = take_idle(pool, access);
    if (book == NULL && book_open(pool->path, &options, &book, message) != STATUS_OK)
        return NULL;
    return book;
}

void pool_put(struct pool *pool, struct book *book)
{
    if (book == NULL)
        return;
    book_rollback_all(book);
    pthread_mutex_lock(&pool->lock);
    if (pool->count < IDLE) {
        pool->idle[pool->count++] = book;
        book = NULL;
    }
    pthread_mutex_unlock(&pool->lock);
    book_close(book);
}
