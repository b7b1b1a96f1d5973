/* Patience: the end of a recording whose book cannot be written right now. What is held is tried again once a second
 * of the machine, until it is in the book, somebody gives it up, or the tries are used up. */
#ifndef RUNDOWN_BENCH_PATIENCE_H
#define RUNDOWN_BENCH_PATIENCE_H

#include "bench/recorder.h"

enum { PATIENCE_TRIES = 600 };

struct patience {
    int tries;
    bool (*given_up)(void *context);                                           /* asked before each try */
    void (*say)(void *context, const struct message *fault, size_t held); /* once, when the first try failed */
    void *context;
};

/* As recorder_end, whose last status it returns: when it fails the run stays open. */
enum status patience_end(struct recorder *recorder, const char *cause, const struct patience *patience,
                         struct message *message);

#endif
