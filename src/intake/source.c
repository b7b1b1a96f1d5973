#include "intake/source.h"

#include <errno.h>
#include <fcntl.h>
#include <stdint.h>
#include <sys/stat.h>
#include <unistd.h>

static enum status fail_at(const char *path, int error, struct message *message)
{
    status_fail(message, STATUS_UNREADABLE, "cannot be read: %s", strerror(error));
    return status_at(message, path, 0, 0);
}

static enum status read_whole(int file, struct source *source, struct message *message)
{
    size_t capacity = 1 << 16;
    char *whole = malloc(capacity);
    while (whole != NULL) {
        if (source->size == capacity) {
            char *larger = capacity <= SIZE_MAX / 2 ? realloc(whole, capacity *= 2) : NULL;
            if (larger == NULL)
                break;
            whole = larger;
        }
        ssize_t got = read(file, whole + source->size, capacity - source->size);
        if (got < 0 && errno == EINTR)
            continue;
        if (got < 0) {
            free(whole);
            return fail_at(source->name, errno, message);
        }
        if (got == 0) {
            source->whole = whole;
            return STATUS_OK;
        }
        source->size += (size_t)got;
    }
    free(whole);
    status_fail(message, STATUS_LIMIT, "is larger than memory");
    status_remedy(message, "save it as a file: files are read piece by piece");
    return status_at(message, source->name, 0, 0);
}

enum status source_open(const char *path, struct source *ret_source, struct message *message)
{
    bool input = span_is(span_of(path), "-");
    struct source source = {.name = input ? "standard input" : path, .file = -1};
    int file = input ? STDIN_FILENO : open(path, O_RDONLY | O_CLOEXEC);
    struct stat about;
    if (file < 0 || fstat(file, &about) != 0)
        return fail_at(source.name, errno, message);
    enum status status = STATUS_OK;
    if (S_ISDIR(about.st_mode)) {
        status = fail_at(source.name, EISDIR, message);
    } else if (S_ISREG(about.st_mode) && !input) {
        source.file = file;
        source.size = (size_t)about.st_size;
        (void)posix_fadvise(file, 0, 0, POSIX_FADV_SEQUENTIAL);
    } else {
        status = read_whole(file, &source, message);
    }
    if (source.file != file && !input)
        close(file);
    if (status == STATUS_OK)
        *ret_source = source;
    return status;
}

size_t source_read(const struct source *source, size_t offset, char *buffer, size_t count)
{
    if (offset >= source->size)
        return 0;
    if (count > source->size - offset)
        count = source->size - offset;
    if (source->whole != NULL) {
        memcpy(buffer, source->whole + offset, count);
        return count;
    }
    size_t done = 0;
    while (done < count) {
        ssize_t got = pread(source->file, buffer + done, count - done, (off_t)(offset + done));
        if (got < 0 && errno == EINTR)
            continue;
        if (got <= 0)
            break;
        done += (size_t)got;
    }
    return done;
}

void source_close(struct source *source)
{
    if (source->file >= 0)
        close(source->file);
    free(source->whole);
    *source = (struct source){.file = -1};
}
