#include "bench/recording_lock.h"

#include "base/text.h"

#include <errno.h>
#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

enum { PIECE = 16 };

static void file_beside(const char *book, struct text *ret_path)
{
    text_addf(ret_path, "%s-recording", book);
}

/* Locks bytes; 0 bytes: from there to the end, and all there will be. Open-file locks, not a process's: closing
 * another handle of the same file keeps them. */
static bool take(int fd, int64_t start, int64_t length)
{
    struct flock lock = {.l_type = F_WRLCK, .l_whence = SEEK_SET, .l_start = start, .l_len = length};
    return fcntl(fd, F_OFD_SETLK, &lock) == 0;
}

static bool still_named(int fd, const char *path)
{
    struct stat own, named;
    return fstat(fd, &own) == 0 && stat(path, &named) == 0 && own.st_dev == named.st_dev &&
           own.st_ino == named.st_ino;
}

static enum status refuse(int fd, int64_t sample, const char *book, const char *name, struct message *message)
{
    char who[PIECE + 1] = "";
    ssize_t got = pread(fd, who, PIECE, sample * PIECE);
    struct span number = span_trim((struct span){who, got > 0 ? (size_t)got : 0});
    status_fail(message, STATUS_AMBIGUOUS, "%s is being recorded already, by process %.*s", name,
                (int)number.n, number.p);
    status_at(message, book, 0, 0);
    return status_remedy(message, "end that recording first, or record another sample");
}

enum status recording_lock(const char *book, int64_t sample, const char *name, int *ret_fd,
                           struct message *message)
{
    struct text path = TEXT_EMPTY;
    file_beside(book, &path);
    enum status status = STATUS_OK;
    int fd = -1;
    for (bool held = false; !held && status == STATUS_OK;) {
        fd = open(text_string(&path), O_RDWR | O_CREAT | O_CLOEXEC, 0666);
        if (fd < 0) {
            status_fail(message, STATUS_UNREADABLE, "cannot be made: %s", strerror(errno));
            status = status_at(message, text_string(&path), 0, 0);
        } else if (!take(fd, sample * PIECE, PIECE)) {
            status = refuse(fd, sample, book, name, message);
        } else {
            held =
                still_named(fd, text_string(&path)); /* a recorder that ended meanwhile may have removed it */
        }
        if (fd >= 0 && !held)
            close(fd);
    }
    text_free(&path);
    if (status != STATUS_OK)
        return status;
    char who[PIECE + 1];
    snprintf(who, sizeof who, "%-15ld\n", (long)getpid());
    /* for the message alone: the lock stands without it */
    if (pwrite(fd, who, PIECE, sample * PIECE) != PIECE)
        errno = 0;
    *ret_fd = fd;
    return STATUS_OK;
}

void recording_unlock(const char *book, int fd)
{
    if (fd < 0)
        return;
    if (take(fd, 0, 0)) {
        struct text path = TEXT_EMPTY;
        file_beside(book, &path);
        unlink(text_string(&path));
        text_free(&path);
    }
    close(fd);
}
