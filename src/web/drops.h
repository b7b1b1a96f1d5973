/* Drops: files that were dropped on a page and are in no book yet, each with what somebody said of it and a preview.
 *
 * They lie in the spool and go with the server; beyond DROPS_KEPT the oldest goes first. A drop holds no readings: a
 * log is read for its preview, and once more when it is stored. A log of more than DROPS_AT_ONCE bytes shows its first
 * stretch at once, and the rest when a task has read it. For several threads. */
#ifndef RUNDOWN_WEB_DROPS_H
#define RUNDOWN_WEB_DROPS_H

#include "archive/bring_in.h"
#include "web/tasks.h"
#include "web/workshop.h"

enum { DROPS_KEPT = 32, DROPS_AT_ONCE = 8 << 20 };

struct drops *drops_new(struct workshop *workshop); /* borrowed */
void drops_free(struct drops *drops);               /* and their files; after the tasks. NULL is fine */

/* Takes the file over (it is renamed into the spool). `name`: what it was called. */
enum status drops_take(struct drops *drops, const char *path, const char *name, int64_t *ret_id, struct message *message);
/* The preview; NULL when there is none of that number. "drop", "name", "wishes", "roles", "task" (0: none runs), and
 * what drop_preview.h lists; "whole" once all of it was read. */
json_t *drops_json(struct drops *drops, int64_t id);
/* {"columns": ["current=2:mA"], "period": "1s", "sign": "charge-positive"}: what is absent or null is found as ever. */
enum status drops_wish(struct drops *drops, int64_t id, const json_t *said, struct message *message);
/* Stores it, as a task whose result is {"run", "sample"}; then the drop is gone. Refuses one that cannot be read, or
 * whose sign is open. The request's texts are copied. */
enum status drops_confirm(struct drops *drops, int64_t id, const struct bring_in *request, int64_t *ret_task,
                          struct message *message);
bool drops_forget(struct drops *drops, int64_t id);

#endif
