/* Tasks: long work that a page asked for, with its progress and a way to stop it. Each runs on a thread of its own;
 * its state goes to the pages as event "task": {"task": ID, "title", "share", "state": "running"|"done"|"stopped"|
 * "failed", "result": …, "fault": …}, and is asked for at /api/tasks/ID. */
#ifndef RUNDOWN_WEB_TASKS_H
#define RUNDOWN_WEB_TASKS_H

#include "base/json_value.h"
#include "http/events.h"

struct task;
struct tasks;

struct tasks *tasks_new(struct events *events);
void tasks_free(struct tasks *tasks); /* asks all to stop, and waits */

/* `work` runs once; on success it leaves its result in *ret_result. `done_with` frees the context afterwards. */
struct task_work {
    const char *title; /* copied */
    enum status (*work)(void *context, struct task *task, json_t **ret_result, struct message *message);
    void (*done_with)(void *context);
    void *context;
};
int64_t task_start(struct tasks *tasks, const struct task_work *work);
/* In the form of a progress callback; told to the pages at most ten times a second. */
void task_progress(void *task, double share);
/* To be asked between steps: end early, with any status. */
bool task_stopped(void *task);

json_t *task_json(struct tasks *tasks, int64_t id); /* NULL when there is none of that number */
void task_stop(struct tasks *tasks, int64_t id);

#endif
