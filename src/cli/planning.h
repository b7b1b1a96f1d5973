/* Planning: the papers that a command plans around, out of a book or from files. */
#ifndef RUNDOWN_CLI_PLANNING_H
#define RUNDOWN_CLI_PLANNING_H

#include "claims/planned.h"

enum status planning_take_book(const char *path, const char *name, const struct plan_wish *wish, struct planned *planned,
                               struct message *message);
/* Files stand before the book's papers; each may be NULL. */
struct planning_files {
    const char *label, *rig, *loads;
};
enum status planning_take_files(const struct planning_files *files, struct planned *planned, struct message *message);
void planning_warn(const struct planned *planned); /* its notices, to standard error */

#endif
