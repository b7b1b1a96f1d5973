/* Storage that fails on demand, and that remembers what was written so that the power can be cut at any moment
 * afterwards: a layer over the machine's own, for books (`book_options.vfs`).
 *
 * The power loss is in the spirit of SQLite's own crash tests (How SQLite Is Tested, 3.3). What was synced stays.
 * Of every write since, each sector on its own is kept, dropped, torn (its head new, its tail old) or filled with
 * noise, the rest of the sector with it, so that writes arrive out of order and hurt their neighbours; lengths of
 * files, new files and deletions that were not synced may or may not have arrived. */
#ifndef RUNDOWN_TESTS_FAULT_STORAGE_H
#define RUNDOWN_TESTS_FAULT_STORAGE_H

#include <stdbool.h>
#include <stdint.h>

extern const char storage_name[]; /* for book_options.vfs; storage_register first */
void storage_register(void);

enum storage_fault { STORAGE_SOUND, STORAGE_FULL, STORAGE_BAD_WRITE, STORAGE_BAD_SYNC };

/* From the `at`-th operation on that the fault concerns (from 1), counted from now, for `times` operations. */
void storage_fail(enum storage_fault fault, long at, long times);
long storage_failed(void); /* how often it did */

/* On: forgets what was recorded before, and takes what the files hold when they are opened for synced. */
void storage_record(bool on);
long storage_operations(void); /* recorded so far: writes, truncations, syncs, deletions */

/* Writes into `folder` the files as they are found when the power went right after `operations` of the recorded
 * ones. `sector` is what the storage writes as one, 512 or 4096. */
void storage_power_loss(long operations, uint64_t seed, int sector, const char *folder);

#endif
