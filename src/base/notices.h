/* Notices: what a reader of the result must know although nothing failed. A list of messages, each
 * with its place, printed beside the findings and carried into every output. */
#ifndef RUNDOWN_BASE_NOTICES_H
#define RUNDOWN_BASE_NOTICES_H

#include <stddef.h>

struct notice {
    const char *topic; /* static: "clock", "sampling", "columns", "rig", "label", … */
    char *text;        /* one or two sentences; owned by the list */
    long line;         /* of the log, 0 if none */
};

struct notices {
    struct notice *items;
    size_t count, capacity;
};

__attribute__((format(printf, 4, 5)))
void notices_add(struct notices *notices, const char *topic, long line, const char *text, ...);
void notices_free(struct notices *notices);

#endif
