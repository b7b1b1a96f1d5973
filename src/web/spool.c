#include "web/spool.h"

#include "base/text.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

/* Files alone: folders are never put there. */
static void empty(const char *path)
{
    DIR *folder = opendir(path);
    if (folder == NULL)
        return;
    for (const struct dirent *one; (one = readdir(folder)) != NULL;)
        if (strcmp(one->d_name, ".") != 0 && strcmp(one->d_name, "..") != 0)
            unlinkat(dirfd(folder), one->d_name, 0);
    closedir(folder);
}

/* One that was left is taken over only when it is a folder of our own that nobody else may enter. */
static bool is_ours(const char *path)
{
    struct stat found;
    return lstat(path, &found) == 0 && S_ISDIR(found.st_mode) && found.st_uid == geteuid() &&
           (found.st_mode & (S_IRWXG | S_IRWXO)) == 0;
}

enum status spool_make(const char *book, char **ret_path, struct message *message)
{
    struct text path = TEXT_EMPTY;
    text_addf(&path, "%s-spool", book);
    if (mkdir(path.s, S_IRWXU) != 0 && (errno != EEXIST || !is_ours(path.s))) {
        status_fail(message, STATUS_UNREADABLE, "this folder for uploads cannot be made: %s", strerror(errno));
        status_at(message, path.s, 0, 0);
        status_remedy(message, "give yourself the right to write beside the book, or move away what stands there");
        text_free(&path);
        return STATUS_UNREADABLE;
    }
    empty(path.s);
    *ret_path = path.s;
    return STATUS_OK;
}

void spool_remove(const char *path)
{
    if (path == NULL)
        return;
    empty(path);
    rmdir(path);
}
