#include "base/output.h"

#include <errno.h>
#include <sys/stat.h>
#include <unistd.h>

static const char *remedy_for(int error)
{
    switch (error) {
    case ENOENT:
    case ENOTDIR: return "Make the folder first, or name one that exists";
    case EACCES:
    case EPERM:
    case EROFS: return "Name a folder that you may write to";
    case EISDIR: return "That is a folder: add a file name";
    case ENOSPC:
    case EDQUOT: return "The disk is full: make room, or write to another disk";
    default: return "Try another folder or disk";
    }
}

enum status output_fail(const char *path, int error, struct message *message)
{
    status_fail(message, STATUS_UNREADABLE, "cannot be written: %s", strerror(error));
    status_at(message, path, 0, 0);
    status_remedy(message, "%s", remedy_for(error));
    return STATUS_UNREADABLE;
}

static bool is_ordinary(FILE *file)
{
    struct stat about;
    return fstat(fileno(file), &about) == 0 && S_ISREG(about.st_mode);
}

enum status output_save(const char *path, const struct text *content, struct message *message)
{
    FILE *file = fopen(path, "wb");
    if (file == NULL)
        return output_fail(path, errno, message);
    bool ordinary = is_ordinary(file);
    errno = 0;
    bool whole = fwrite(text_string(content), 1, content->length, file) == content->length;
    int error = errno;
    if (fclose(file) != 0 && whole) {
        whole = false;
        error = errno;
    }
    if (whole)
        return STATUS_OK;
    if (ordinary) /* a device or a pipe is not ours to remove */
        unlink(path);
    return output_fail(path, error, message);
}
