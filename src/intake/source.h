/* Source: the bytes of a log, at any offset, from several threads at once.
 *
 * A regular file is read where it lies; anything else (standard input, a pipe) is taken into memory
 * whole. The size is fixed when the source is opened: what a running instrument appends later is left. */
#ifndef RUNDOWN_INTAKE_SOURCE_H
#define RUNDOWN_INTAKE_SOURCE_H

#include "base/status.h"
#include "base/text.h"

struct source {
    const char *name; /* for messages; borrowed from the path */
    int file;         /* -1 when `whole` holds the bytes */
    char *whole;
    size_t size;
};

/* `path` "-" is standard input. */
enum status source_open(const char *path, struct source *ret_source, struct message *message);

/* Bytes from `offset`; fewer than `count` only at the end or where the file cannot be read further. */
size_t source_read(const struct source *source, size_t offset, char *buffer, size_t count);

void source_close(struct source *source);

#endif
