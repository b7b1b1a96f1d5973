/* Status and message.
 *
 * A function that can fail returns a status and, on failure only, fills the message it was handed.
 * The message is written where the fault is found: file, line, column, what is wrong, and the remedy.
 * Callers pass it on; nobody overwrites it. Outputs (`ret_`) are untouched on failure. */
#ifndef RUNDOWN_BASE_STATUS_H
#define RUNDOWN_BASE_STATUS_H

#include <stddef.h>

enum status {
    STATUS_OK = 0,
    STATUS_USAGE = 2,      /* the command line is wrong */
    STATUS_UNREADABLE = 3, /* a file cannot be opened, read or written, or holds no readings */
    STATUS_AMBIGUOUS = 4,  /* readable, but a guess would change the result: refused */
    STATUS_MALFORMED = 5,  /* a label, rig, loads or readings file breaks its form */
    STATUS_LIMIT = 6,      /* larger than Rundown's stated limits, or than memory */
};

struct message {
    enum status status;
    char file[256];   /* "" when no file is at fault */
    long line;        /* from 1; 0 when no line is at fault */
    long column;      /* character, from 1; 0 when unknown */
    char what[512];   /* what is wrong, one sentence without a full stop */
    char remedy[512]; /* what to do about it, "" when there is nothing to add */
};

/* Fills `message` (which may be NULL) and returns `status`, so that a fault is one return statement. */
__attribute__((format(printf, 3, 4)))
enum status status_fail(struct message *message, enum status status, const char *what, ...);

/* Names the place of the fault. Call after status_fail; keeps what and remedy. */
enum status status_at(struct message *message, const char *file, long line, long column);

/* Adds the remedy. Returns the status the message already holds. */
__attribute__((format(printf, 2, 3)))
enum status status_remedy(struct message *message, const char *remedy, ...);

/* One printable text: `file:line:column: what. remedy.` Truncates to `size`; always terminated. */
void status_print(const struct message *message, char *buffer, size_t size);

#endif
