#include "check.h"

#include "book/book.h"
#include "book/held_file.h"
#include "unit/book/scratch_book.h"

#include <fcntl.h>
#include <sys/wait.h>
#include <unistd.h>

/* Whether another process finds this one's lock on the file. */
static bool is_locked(const char *path)
{
    fflush(stdout);
    pid_t child = fork();
    if (child == 0) {
        struct flock lock = {.l_type = F_WRLCK, .l_whence = SEEK_SET};
        int file = open(path, O_RDWR | O_CLOEXEC);
        bool locked = file >= 0 && fcntl(file, F_GETLK, &lock) == 0 && lock.l_type != F_UNLCK && lock.l_pid == getppid();
        _exit(locked ? 1 : 0);
    }
    int result = 0;
    CHECK(waitpid(child, &result, 0) == child && WIFEXITED(result));
    return WEXITSTATUS(result) == 1;
}

TEST(a_look_at_an_open_book_takes_no_lock_away)
{
    struct scratch scratch;
    struct book *second = NULL;
    struct book_options options = reading();
    struct message message = {0};
    int64_t version = 0;
    scratch_open(&scratch);
    CHECK(book_version(scratch.book, &version, &message) == STATUS_OK); /* the first read takes the lock */
    CHECK(is_locked(scratch.path));
    CHECK(book_look_like(scratch.path));
    CHECK(is_locked(scratch.path));
    CHECK(book_open(scratch.path, &options, &second, &message) == STATUS_OK);
    book_close(second);
    CHECK(is_locked(scratch.path));
    scratch_remove(&scratch);
}

TEST(what_is_open_twice_is_held_until_both_are_closed)
{
    struct scratch scratch;
    unsigned char head[16];
    bool held = false;
    scratch_open(&scratch);
    struct held_file more = held_file_take(scratch.path);
    book_close(scratch.book);
    scratch.book = NULL;
    CHECK(held_file_read_head(scratch.path, head, sizeof head, &held) == 0 && held);
    held_file_drop(&more);
    CHECK(held_file_read_head(scratch.path, head, sizeof head, &held) == sizeof head && !held);
    CHECK(memcmp(head, "SQLite format 3", sizeof head) == 0);
    CHECK(held_file_read_head("no/such/file", head, sizeof head, &held) == 0 && !held);
    scratch_remove(&scratch);
}
