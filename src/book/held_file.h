/* Held files: which files this process has open as books.
 *
 * POSIX takes every lock that a process has on a file when it closes any descriptor of that file (IEEE Std 1003.1,
 * fcntl). SQLite keeps a shared lock on a book while it is open; were the file opened beside it and closed again, to look
 * at its first bytes, another program that closes the book would think itself the last one and remove the log of what was
 * committed. So a file is read here only while no book of it is open, and what is open is known to be a book. For several
 * threads. */
#ifndef RUNDOWN_BOOK_HELD_FILE_H
#define RUNDOWN_BOOK_HELD_FILE_H

#include <stdbool.h>
#include <stddef.h>
#include <sys/types.h>

struct held_file {
    dev_t device;
    ino_t file; /* 0: there was no such file */
};

/* Before SQLite opens it, and after it has closed it. */
struct held_file held_file_take(const char *path);
void held_file_drop(const struct held_file *held);

/* The first bytes of a file that is not held: how many there are. Of one that is, none, and *ret_held is true. */
size_t held_file_read_head(const char *path, unsigned char *ret_head, size_t size, bool *ret_held);

#endif
