/* A folder of its own with a book in it, gone when the test is over. */
#ifndef RUNDOWN_TESTS_SCRATCH_BOOK_H
#define RUNDOWN_TESTS_SCRATCH_BOOK_H

#include "book/book.h"

#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

struct scratch {
    char folder[200], path[256];
    struct book *book;
};

static inline void scratch_make(struct scratch *scratch)
{
    snprintf(scratch->folder, sizeof scratch->folder, "%s/rundown-book-XXXXXX", P_tmpdir);
    if (mkdtemp(scratch->folder) == NULL)
        abort();
    snprintf(scratch->path, sizeof scratch->path, "%s/hut %%?#.book", scratch->folder);
    scratch->book = NULL;
}

static inline struct book_options writing(void)
{
    return (struct book_options){.access = BOOK_WRITE, .wait_ms = 30};
}

static inline struct book_options reading(void)
{
    return (struct book_options){.access = BOOK_READ, .wait_ms = 30};
}

static inline void scratch_open(struct scratch *scratch)
{
    struct message message = {0};
    struct book_options options = writing();
    scratch_make(scratch);
    if (book_create(scratch->path, &options, &scratch->book, &message) != STATUS_OK)
        abort();
}

static inline void scratch_remove(struct scratch *scratch)
{
    book_close(scratch->book);
    scratch->book = NULL;
    chmod(scratch->folder, 0700);
    DIR *folder = opendir(scratch->folder);
    for (struct dirent *entry; folder != NULL && (entry = readdir(folder)) != NULL;) {
        char path[512];
        snprintf(path, sizeof path, "%s/%s", scratch->folder, entry->d_name);
        if (entry->d_type == DT_REG)
            unlink(path);
    }
    if (folder != NULL)
        closedir(folder);
    rmdir(scratch->folder);
}

#endif
