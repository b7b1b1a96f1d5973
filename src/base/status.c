#include "base/status.h"

#include <stdarg.h>

enum status status_fail(struct message *message, enum status status, const char *what, ...)
{
    if (message == NULL)
        return status;
    memset(message, 0, sizeof *message);
    message->status = status;
    va_list args;
    va_start(args, what);
    vsnprintf(message->what, sizeof message->what, what, args);
    va_end(args);
    return status;
}

enum status status_at(struct message *message, const char *file, long line, long column)
{
    if (message == NULL)
        return STATUS_MALFORMED;
    if (file != NULL)
        snprintf(message->file, sizeof message->file, "%s", file);
    message->line = line;
    message->column = column;
    return message->status;
}

enum status status_remedy(struct message *message, const char *remedy, ...)
{
    if (message == NULL)
        return STATUS_MALFORMED;
    va_list args;
    va_start(args, remedy);
    vsnprintf(message->remedy, sizeof message->remedy, remedy, args);
    va_end(args);
    return message->status;
}

void status_print(const struct message *message, char *buffer, size_t size)
{
    char place[320] = "";
    if (message->file[0] != '\0' && message->line > 0 && message->column > 0)
        snprintf(place, sizeof place, "%s:%ld:%ld: ", message->file, message->line, message->column);
    else if (message->file[0] != '\0' && message->line > 0)
        snprintf(place, sizeof place, "%s:%ld: ", message->file, message->line);
    else if (message->file[0] != '\0')
        snprintf(place, sizeof place, "%s: ", message->file);
    const char *gap = message->remedy[0] != '\0' ? ". " : "";
    snprintf(buffer, size, "%s%s%s%s", place, message->what, gap, message->remedy);
}
