#include "base/notices.h"

#include "base/memory.h"

#include <stdarg.h>

void notices_add(struct notices *notices, const char *topic, long line, const char *text, ...)
{
    char buffer[1024];
    va_list args;
    va_start(args, text);
    vsnprintf(buffer, sizeof buffer, text, args);
    va_end(args);
    notices->items = memory_grow(notices->items, notices->count, &notices->capacity);
    notices->items[notices->count++] = (struct notice){topic, memory_copy_string(buffer), line};
}

void notices_free(struct notices *notices)
{
    for (size_t k = 0; k < notices->count; k++)
        free(notices->items[k].text);
    free(notices->items);
    *notices = (struct notices){NULL, 0, 0};
}
