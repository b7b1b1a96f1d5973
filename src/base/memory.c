#include "base/memory.h"

#include "base/status.h"

#include <stdint.h>
#include <sys/mman.h>

static const size_t large_bytes = (size_t)4 << 20;

static _Noreturn void out_of_memory(void)
{
    fputs("rundown: out of memory\n", stderr);
    exit(STATUS_LIMIT);
}

void *memory_get(size_t size)
{
    void *block = calloc(1, size > 0 ? size : 1);
    if (block == NULL)
        out_of_memory();
    return block;
}

void *memory_resize(void *old, size_t count, size_t size)
{
    if (size != 0 && count > SIZE_MAX / size)
        out_of_memory();
    void *block = realloc(old, count * size > 0 ? count * size : 1);
    if (block == NULL)
        out_of_memory();
    return block;
}

char *memory_copy_string(const char *s)
{
    if (s == NULL)
        return NULL;
    size_t size = strlen(s) + 1;
    return memcpy(memory_get(size), s, size);
}

void *memory_try(size_t count, size_t size)
{
    if (size == 0 || count == 0 || count > SIZE_MAX / 2 / size)
        return NULL;
    size_t bytes = count * size;
    if (bytes < large_bytes)
        return malloc(bytes);
    void *block = mmap(NULL, bytes, PROT_READ | PROT_WRITE, MAP_PRIVATE | MAP_ANONYMOUS, -1, 0);
    if (block == MAP_FAILED)
        return NULL;
    (void)madvise(block, bytes, MADV_HUGEPAGE); /* advice only: small pages work too */
    return block;
}

void memory_try_free(void *block, size_t count, size_t size)
{
    if (block == NULL)
        return;
    if (count * size < large_bytes)
        free(block);
    else
        munmap(block, count * size);
}

size_t memory_more_(size_t *capacity)
{
    *capacity = *capacity < 8 ? 8 : *capacity + *capacity / 2;
    return *capacity;
}
