#include "web/open_lock.h"

#include "base/text.h"
#include "check.h"
#include "web/spool.h"

#include <signal.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

struct place {
    char folder[64], book[96], path[128];
};

static void place_make(struct place *place)
{
    snprintf(place->folder, sizeof place->folder, "%s/rundown-open-XXXXXX", P_tmpdir);
    if (mkdtemp(place->folder) == NULL)
        abort();
    snprintf(place->book, sizeof place->book, "%s/hut.book", place->folder);
    snprintf(place->path, sizeof place->path, "%s-open", place->book);
}

TEST(a_book_is_open_once_and_its_address_is_told)
{
    struct place place = {0};
    struct message message = {0};
    int first = -1, second = -1;
    place_make(&place);
    CHECK(open_lock(place.book, &first, &message) == STATUS_OK);
    CHECK(open_lock(place.book, &second, &message) == STATUS_AMBIGUOUS && second == -1); /* before it has an address */
    open_lock_say(first, "http://127.0.0.1:20001/");
    CHECK(open_lock(place.book, &second, &message) == STATUS_AMBIGUOUS);
    CHECK(strstr(message.what, "http://127.0.0.1:20001/") != NULL);
    open_unlock(place.book, first);
    CHECK(access(place.path, F_OK) != 0);
    CHECK(open_lock(place.book, &second, &message) == STATUS_OK);
    open_unlock(place.book, second);
    open_unlock(place.book, -1);
    CHECK(rmdir(place.folder) == 0);
}

TEST(a_killed_one_holds_nobody_up)
{
    struct place place = {0};
    struct message message = {0};
    int fd = -1, status = 0, said[2];
    char byte = 0;
    place_make(&place);
    if (pipe(said) != 0)
        abort();
    pid_t child = fork();
    if (child == 0) {
        bool held = open_lock(place.book, &fd, &message) == STATUS_OK;
        open_lock_say(fd, "http://127.0.0.1:1/");
        if (write(said[1], held ? "y" : "n", 1) == 1)
            pause();
        _exit(1);
    }
    CHECK(read(said[0], &byte, 1) == 1 && byte == 'y');
    CHECK(open_lock(place.book, &fd, &message) == STATUS_AMBIGUOUS);
    kill(child, SIGKILL);
    waitpid(child, &status, 0);
    CHECK(access(place.path, F_OK) == 0); /* it left its file */
    CHECK(open_lock(place.book, &fd, &message) == STATUS_OK);
    open_unlock(place.book, fd);
    close(said[0]);
    close(said[1]);
    CHECK(rmdir(place.folder) == 0);
}

TEST(a_spool_that_was_left_is_emptied_and_a_strangers_is_not_taken)
{
    struct place place = {0};
    struct message message = {0};
    char *spool = NULL, file[160];
    struct stat found;
    place_make(&place);
    CHECK(spool_make(place.book, &spool, &message) == STATUS_OK);
    CHECK(stat(spool, &found) == 0 && (found.st_mode & 0777) == 0700);
    snprintf(file, sizeof file, "%s/upload-left", spool);
    FILE *left = fopen(file, "w");
    CHECK(left != NULL && fclose(left) == 0);
    free(spool);
    CHECK(spool_make(place.book, &spool, &message) == STATUS_OK && access(file, F_OK) != 0);
    CHECK(chmod(spool, 0777) == 0);
    char *other = NULL;
    CHECK(spool_make(place.book, &other, &message) == STATUS_UNREADABLE && other == NULL && message.remedy[0] != '\0');
    spool_remove(spool);
    CHECK(symlink(place.folder, spool) == 0);
    CHECK(spool_make(place.book, &other, &message) == STATUS_UNREADABLE);
    CHECK(unlink(spool) == 0);
    free(spool);
    spool_remove(NULL);
    CHECK(rmdir(place.folder) == 0);
}
