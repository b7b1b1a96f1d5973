/* Memory.
 *
 * Small allocations never return NULL: a program that cannot get a few kilobytes says so and exits
 * with STATUS_LIMIT. Anything whose size the input decides goes through memory_try, which may fail. */
#ifndef RUNDOWN_BASE_MEMORY_H
#define RUNDOWN_BASE_MEMORY_H

#include <stddef.h>

void *memory_get(size_t size);                        /* zeroed; free() it */
void *memory_resize(void *old, size_t count, size_t size); /* checks count * size for overflow */
char *memory_copy_string(const char *s);              /* NULL gives NULL */

/* `count` items of `size` bytes, not zeroed, or NULL. Asks for large pages when it is large, since
 * the first touch of a small page costs more than filling it. Free with memory_try_free. */
void *memory_try(size_t count, size_t size);
void memory_try_free(void *block, size_t count, size_t size);

/* Makes room for one more item in a growing array; returns the (possibly moved) array. */
#define memory_grow(array, count, capacity) \
    ((count) < *(capacity) ? (array)        \
                           : memory_resize((array), memory_more_(capacity), sizeof *(array)))
size_t memory_more_(size_t *capacity);

#endif
