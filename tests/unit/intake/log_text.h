/* A log held in memory and read as a file: what the tests of the log reader share. */
#ifndef RUNDOWN_TESTS_LOG_TEXT_H
#define RUNDOWN_TESTS_LOG_TEXT_H

#include "intake/log.h"
#include "check.h"

#include <sys/mman.h>
#include <unistd.h>

static struct message log_message;

__attribute__((unused)) static enum status read_bytes(const char *bytes, size_t size,
                                                      const struct log_options *options, struct log *log)
{
    char path[32];
    int file = memfd_create("log", 0);
    CHECK(file >= 0 && write(file, bytes, size) == (ssize_t)size);
    snprintf(path, sizeof path, "/dev/fd/%d", file);
    memset(&log_message, 0, sizeof log_message);
    memset(log, 0, sizeof *log);
    enum status status = log_read(path, options, log, &log_message);
    close(file);
    return status;
}

/* Reads a log given as text with `wishes` (NULL ends them) and, when > 0, a period. */
__attribute__((unused)) static enum status read_asked(const char *text, const char *const *asked,
                                                      double period_s, struct log *log)
{
    struct column_wish wishes[8];
    struct log_options options = {.wishes = wishes, .period_s = period_s};
    for (; asked != NULL && asked[options.wish_count] != NULL; options.wish_count++)
        CHECK(column_wish_read(asked[options.wish_count], &wishes[options.wish_count], &log_message) ==
              STATUS_OK);
    return read_bytes(text, strlen(text), &options, log);
}

__attribute__((unused)) static enum status read_text(const char *text, struct log *log)
{
    return read_asked(text, NULL, 0, log);
}

__attribute__((unused)) static bool says(const char *text, const char *part)
{
    if (strstr(text, part) != NULL)
        return true;
    printf("    '%s' does not hold '%s'\n", text, part);
    return false;
}

__attribute__((unused)) static bool notes(const struct log *log, const char *part)
{
    for (size_t k = 0; k < log->notices.count; k++)
        if (strstr(log->notices.items[k].text, part) != NULL)
            return true;
    return false;
}

#endif
