/* Recording lock: one recorder a sample, several samples a book.
 *
 * A file `BOOK-recording` beside the book, of which a recorder locks the piece that is its sample's and writes its
 * process's number there. The system drops the lock when the process ends, however it ends: what a crash left
 * open is thereby known to be left. The last recorder to end removes the file. */
#ifndef RUNDOWN_BENCH_RECORDING_LOCK_H
#define RUNDOWN_BENCH_RECORDING_LOCK_H

#include "base/status.h"

#include <stdint.h>

/* STATUS_AMBIGUOUS when another recorder has the sample: the message names it. */
enum status recording_lock(const char *book, int64_t sample, const char *name, int *ret_fd,
                           struct message *message);
void recording_unlock(const char *book, int fd); /* fd -1 is fine */

#endif
