/* Planning: the papers that a command plans around, out of a book or from files. */
#ifndef RUNDOWN_CLI_PLANNING_H
#define RUNDOWN_CLI_PLANNING_H

#include "claims/planned.h"

/* The sample of a book, and files, which stand before the book's papers; each may be NULL, a sample has a book. */
struct planning_papers {
    const char *book, *sample, *label, *rig, *loads;
};
enum status planning_take(const struct planning_papers *papers, const struct plan_wish *wish, struct planned *planned,
                          struct message *message);
void planning_warn(const struct planned *planned); /* its notices, to standard error */

#endif
