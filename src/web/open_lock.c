#include "web/open_lock.h"

#include "base/text.h"

#include <errno.h>
#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

enum { ADDRESS_LINE = 128 };

static bool take(int fd)
{
    struct flock lock = {.l_type = F_WRLCK, .l_whence = SEEK_SET};
    return fcntl(fd, F_OFD_SETLK, &lock) == 0;
}

static bool still_named(int fd, const char *path)
{
    struct stat own, named;
    return fstat(fd, &own) == 0 && stat(path, &named) == 0 && own.st_dev == named.st_dev && own.st_ino == named.st_ino;
}

static enum status refuse(int fd, const char *book, struct message *message)
{
    char line[ADDRESS_LINE + 1] = "";
    ssize_t got = pread(fd, line, ADDRESS_LINE, 0);
    struct span address = span_trim((struct span){line, got > 0 ? (size_t)got : 0});
    status_fail(message, STATUS_AMBIGUOUS, "this book is open already%s%.*s", address.n > 0 ? " at " : "",
                (int)address.n, address.p);
    status_at(message, book, 0, 0);
    return status_remedy(message, "use that address, or end that server with Ctrl-C where it runs");
}

enum status open_lock(const char *book, int *ret_fd, struct message *message)
{
    struct text path = TEXT_EMPTY;
    enum status status = STATUS_OK;
    int fd = -1;
    text_addf(&path, "%s-open", book);
    for (bool held = false; !held && status == STATUS_OK;) {
        fd = open(path.s, O_RDWR | O_CREAT | O_CLOEXEC | O_NOFOLLOW, 0600);
        if (fd < 0) {
            status_fail(message, STATUS_UNREADABLE, "cannot be made: %s", strerror(errno));
            status = status_at(message, path.s, 0, 0);
        } else if (!take(fd)) {
            status = refuse(fd, book, message);
        } else {
            held = still_named(fd, path.s); /* a server that ended meanwhile may have removed it */
        }
        if (fd >= 0 && !held)
            close(fd);
    }
    text_free(&path);
    if (status == STATUS_OK)
        *ret_fd = fd;
    return status;
}

void open_lock_say(int fd, const char *address)
{
    char line[ADDRESS_LINE];
    int n = snprintf(line, sizeof line, "%s\n", address);
    /* for the message alone: the lock stands without it */
    if (ftruncate(fd, 0) != 0 || pwrite(fd, line, (size_t)n, 0) != n)
        errno = 0;
}

void open_unlock(const char *book, int fd)
{
    struct text path = TEXT_EMPTY;
    if (fd < 0)
        return;
    text_addf(&path, "%s-open", book);
    unlink(path.s);
    text_free(&path);
    close(fd);
}
