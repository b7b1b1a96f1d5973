#include "book/held_file.h"

#include "base/memory.h"

#include <pthread.h>
#include <stdio.h>
#include <sys/stat.h>

static pthread_mutex_t lock = PTHREAD_MUTEX_INITIALIZER;
static struct held_file *all; /* one a book that is open */
static size_t count, capacity;

static struct held_file held_of(const char *path)
{
    struct stat about;
    if (stat(path, &about) != 0)
        return (struct held_file){0, 0};
    return (struct held_file){about.st_dev, about.st_ino};
}

/* Its place; `count` when it is not there. */
static size_t find(const struct held_file *held)
{
    size_t k = 0;
    while (k < count && (all[k].device != held->device || all[k].file != held->file))
        k++;
    return k;
}

struct held_file held_file_take(const char *path)
{
    struct held_file held = held_of(path);
    if (held.file == 0)
        return held;
    pthread_mutex_lock(&lock);
    all = memory_grow(all, count, &capacity);
    all[count++] = held;
    pthread_mutex_unlock(&lock);
    return held;
}

void held_file_drop(const struct held_file *held)
{
    pthread_mutex_lock(&lock);
    size_t k = find(held);
    if (k < count)
        all[k] = all[--count];
    if (count == 0) {
        free(all);
        all = NULL;
        capacity = 0;
    }
    pthread_mutex_unlock(&lock);
}

size_t held_file_read_head(const char *path, unsigned char *ret_head, size_t size, bool *ret_held)
{
    struct held_file held = held_of(path);
    size_t read = 0;
    pthread_mutex_lock(&lock); /* nobody begins to hold it while it is open here */
    *ret_held = find(&held) < count;
    FILE *file = *ret_held ? NULL : fopen(path, "rb");
    if (file != NULL) {
        read = fread(ret_head, 1, size, file);
        fclose(file);
    }
    pthread_mutex_unlock(&lock);
    return read;
}
