#include "book/backup.h"

#include "book/schema.h"
#include "book/sql.h"
#include "book/state.h"

#include <errno.h>
#include <fcntl.h>
#include <unistd.h>

enum { PAGES_A_STEP = 1024, WAIT_FOR_LOCK_MS = 20, MOST_WAITS = 500 };

static sqlite3_vfs *storage_of(const struct book *book)
{
    sqlite3_vfs *vfs = NULL;
    sqlite3_file_control(book->handle, "main", SQLITE_FCNTL_VFS_POINTER, &vfs);
    return vfs;
}

/* A part at a time, so that a writer in between is held up for a moment only; when it writes, SQLite begins anew
 * by itself. */
static int copy(sqlite3_backup *backup, void (*progress)(void *context, double share), void *context)
{
    int code = SQLITE_OK, waits = 0;
    while (code == SQLITE_OK || ((code == SQLITE_BUSY || code == SQLITE_LOCKED) && waits++ < MOST_WAITS)) {
        if (code != SQLITE_OK)
            sqlite3_sleep(WAIT_FOR_LOCK_MS);
        code = sqlite3_backup_step(backup, PAGES_A_STEP);
        int all = sqlite3_backup_pagecount(backup);
        if (progress != NULL && all > 0)
            progress(context, 1 - (double)sqlite3_backup_remaining(backup) / all);
    }
    return code == SQLITE_DONE ? SQLITE_OK : code;
}

static int fill(struct book *book, sqlite3 *target, void (*progress)(void *context, double share), void *context)
{
    sqlite3_backup *backup = sqlite3_backup_init(target, "main", book->handle, "main");
    if (backup == NULL)
        return sqlite3_errcode(target);
    int code = copy(backup, progress, context);
    int end = sqlite3_backup_finish(backup);
    return code != SQLITE_OK ? code : end;
}

bool book_claim(const char *path, struct message *message)
{
    int file = open(path, O_RDWR | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
    if (file >= 0) {
        close(file);
        return true;
    }
    if (errno == EEXIST) {
        status_fail(message, STATUS_UNREADABLE, "there is a file of that name already");
        status_at(message, path, 0, 0);
        status_remedy(message, "choose another name: a book never replaces a file");
    } else {
        int cause = errno;
        sql_explain(path, NULL, cause == ENOSPC || cause == EDQUOT ? SQLITE_FULL : SQLITE_CANTOPEN, message);
        if (message != NULL)
            snprintf(message->what, sizeof message->what, "the book cannot be made: %s", strerror(cause));
    }
    return false;
}

void book_remove_half(const char *path)
{
    static const char *const ends[] = {"-journal", "-wal", "-shm", ""};
    struct text name = TEXT_EMPTY;
    for (size_t k = 0; k < sizeof ends / sizeof ends[0]; k++) {
        name.length = 0;
        text_addf(&name, "%s%s", path, ends[k]);
        (void)unlink(text_string(&name));
    }
    text_free(&name);
}

enum status book_backup(struct book *book, const char *path, void (*progress)(void *context, double share),
                        void *context, struct message *message)
{
    sqlite3_vfs *vfs = storage_of(book);
    sqlite3 *target = NULL;
    if (!book_claim(path, message))
        return STATUS_UNREADABLE;
    int code = sqlite3_open_v2(path, &target, SQLITE_OPEN_READWRITE | SQLITE_OPEN_NOMUTEX, vfs->zName);
    if (code == SQLITE_OK)
        code = fill(book, target, progress, context);
    if (code == SQLITE_OK) /* so that the copy is whole in one file, whatever the mode copied along */
        code = sqlite3_wal_checkpoint_v2(target, NULL, SQLITE_CHECKPOINT_TRUNCATE, NULL, NULL);
    enum status status = code == SQLITE_OK ? STATUS_OK : sql_explain(path, target, code, message);
    sqlite3_close(target);
    if (status != STATUS_OK)
        book_remove_half(path);
    return status;
}
