#include "bench/recording_lock.h"
#include "check.h"

#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

static const char book[] = "recording_lock_test.book";

TEST(a_second_recorder_of_a_sample_is_refused_and_another_sample_is_not)
{
    int first = -1, second = -1, other = -1;
    struct message message = {0};
    CHECK(recording_lock(book, 7, "Hut pack 3", &first, &message) == STATUS_OK);
    CHECK(recording_lock(book, 7, "Hut pack 3", &second, &message) == STATUS_AMBIGUOUS);
    char number[32];
    snprintf(number, sizeof number, "process %ld", (long)getpid());
    CHECK(strstr(message.what, "Hut pack 3") != NULL && strstr(message.what, number) != NULL);
    CHECK_TEXT(message.file, book);
    CHECK(second == -1);
    CHECK(recording_lock(book, 8, "Hut pack 4", &other, &message) == STATUS_OK);
    recording_unlock(book, first);
    CHECK(access("recording_lock_test.book-recording", F_OK) == 0); /* sample 8 goes on */
    CHECK(recording_lock(book, 7, "Hut pack 3", &first, &message) == STATUS_OK);
    recording_unlock(book, first);
    recording_unlock(book, other);
    CHECK(access("recording_lock_test.book-recording", F_OK) != 0);
}

TEST(a_killed_recorder_leaves_no_lock)
{
    int pipes[2];
    CHECK(pipe(pipes) == 0);
    pid_t child = fork();
    if (child == 0) {
        int fd = -1;
        struct message message;
        bool ok = recording_lock(book, 7, "Hut pack 3", &fd, &message) == STATUS_OK;
        if (write(pipes[1], ok ? "y" : "n", 1) == 1)
            pause();
        _exit(1);
    }
    char said = 0;
    CHECK(read(pipes[0], &said, 1) == 1 && said == 'y');
    int fd = -1;
    struct message message;
    CHECK(recording_lock(book, 7, "Hut pack 3", &fd, &message) == STATUS_AMBIGUOUS);
    kill(child, SIGKILL);
    waitpid(child, NULL, 0);
    CHECK(recording_lock(book, 7, "Hut pack 3", &fd, &message) == STATUS_OK);
    recording_unlock(book, fd);
    close(pipes[0]);
    close(pipes[1]);
}

TEST(where_nothing_can_be_written_it_says_so)
{
    int fd = -1;
    struct message message;
    CHECK(recording_lock("no such folder/x.book", 1, "S", &fd, &message) == STATUS_UNREADABLE);
    CHECK(strstr(message.file, "no such folder") != NULL);
}
