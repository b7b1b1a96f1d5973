#include "web/tasks.h"

#include "base/clock.h"
#include "base/memory.h"

#include <pthread.h>
#include <stdatomic.h>

enum state { RUNNING, DONE, STOPPED, FAILED };
static const char *const state_words[] = {"running", "done", "stopped", "failed"};

enum { ENDED_KEPT = 64 };
static const int64_t tell_every_ns = 100000000;

struct task {
    struct tasks *tasks;
    int64_t id;
    char *title;
    struct task_work work;
    pthread_t thread;
    bool joinable;
    atomic_bool stop;
    /* under the lock of the tasks */
    enum state state;
    double share;
    int64_t told_ns;
    json_t *result;
    struct message fault;
    struct task *next; /* an older one */
};

struct tasks {
    pthread_mutex_t lock;
    struct events *events;
    struct task *newest;
    int64_t last_id;
};

struct tasks *tasks_new(struct events *events)
{
    struct tasks *tasks = memory_get(sizeof *tasks);
    pthread_mutex_init(&tasks->lock, NULL);
    tasks->events = events;
    return tasks;
}

static void task_free(struct task *task)
{
    if (task->joinable)
        pthread_join(task->thread, NULL);
    json_decref(task->result);
    free(task->title);
    free(task);
}

void tasks_free(struct tasks *tasks)
{
    if (tasks == NULL)
        return;
    pthread_mutex_lock(&tasks->lock);
    struct task *task = tasks->newest;
    tasks->newest = NULL; /* whoever asks from now on finds none */
    for (struct task *one = task; one != NULL; one = one->next)
        atomic_store(&one->stop, true);
    pthread_mutex_unlock(&tasks->lock);
    while (task != NULL) {
        struct task *next = task->next;
        task_free(task);
        task = next;
    }
    pthread_mutex_destroy(&tasks->lock);
    free(tasks);
}

/* The lock is held. */
static json_t *as_json(const struct task *task)
{
    json_t *object = json_object();
    json_put(object, "task", json_integer(task->id));
    json_put_words(object, "title", task->title);
    json_put(object, "share", json_number(task->share));
    json_put_words(object, "state", state_words[task->state]);
    json_put(object, "result", task->result != NULL ? json_deep_copy(task->result) : json_null());
    json_put(object, "fault", task->state == FAILED ? json_message(&task->fault) : json_null());
    return object;
}

/* The lock is held, so that news come in order. */
static void tell(const struct task *task)
{
    struct text line = TEXT_EMPTY;
    json_t *object = as_json(task);
    json_add_text(object, true, &line);
    json_decref(object);
    events_publish(task->tasks->events, "task", (struct span){text_string(&line), line.length});
    text_free(&line);
}

static void *run(void *context)
{
    struct task *task = context;
    json_t *result = NULL;
    struct message message = {0};
    enum status status = task->work.work(task->work.context, task, &result, &message);
    if (task->work.done_with != NULL)
        task->work.done_with(task->work.context);
    pthread_mutex_lock(&task->tasks->lock);
    task->state = status == STATUS_OK ? DONE : atomic_load(&task->stop) ? STOPPED : FAILED;
    task->result = result;
    task->fault = message;
    if (status == STATUS_OK)
        task->share = 1;
    tell(task);
    pthread_mutex_unlock(&task->tasks->lock);
    return NULL;
}

/* Of those that have ended the latest are kept, for a page that asks late. The lock is held. */
static void forget_old(struct tasks *tasks)
{
    int ended = 0;
    for (struct task **place = &tasks->newest; *place != NULL;) {
        struct task *task = *place;
        if (task->state == RUNNING || ++ended <= ENDED_KEPT) {
            place = &task->next;
            continue;
        }
        *place = task->next;
        task_free(task); /* its thread needs the lock no more */
    }
}

int64_t task_start(struct tasks *tasks, const struct task_work *work)
{
    struct task *task = memory_get(sizeof *task);
    task->tasks = tasks;
    task->title = memory_copy_string(work->title);
    task->work = *work;
    pthread_mutex_lock(&tasks->lock);
    forget_old(tasks);
    int64_t id = task->id = ++tasks->last_id;
    task->next = tasks->newest;
    tasks->newest = task;
    task->joinable = pthread_create(&task->thread, NULL, run, task) == 0;
    if (!task->joinable) {
        task->state = FAILED;
        status_fail(&task->fault, STATUS_LIMIT, "this machine has no room for one more task");
        status_remedy(&task->fault, "wait until another has ended");
        if (work->done_with != NULL)
            work->done_with(work->context);
    }
    tell(task);
    pthread_mutex_unlock(&tasks->lock);
    return id;
}

void task_progress(void *task, double share)
{
    struct task *one = task;
    struct clock clock = clock_machine();
    int64_t now_ns = clock.now_ns(clock.context);
    pthread_mutex_lock(&one->tasks->lock);
    one->share = share;
    if (now_ns - one->told_ns >= tell_every_ns) {
        one->told_ns = now_ns;
        tell(one);
    }
    pthread_mutex_unlock(&one->tasks->lock);
}

bool task_stopped(void *task)
{
    return atomic_load(&((struct task *)task)->stop);
}

static struct task *find(struct tasks *tasks, int64_t id)
{
    struct task *task = tasks->newest;
    while (task != NULL && task->id != id)
        task = task->next;
    return task;
}

json_t *task_json(struct tasks *tasks, int64_t id)
{
    pthread_mutex_lock(&tasks->lock);
    struct task *task = find(tasks, id);
    json_t *object = task != NULL ? as_json(task) : NULL;
    pthread_mutex_unlock(&tasks->lock);
    return object;
}

void task_stop(struct tasks *tasks, int64_t id)
{
    pthread_mutex_lock(&tasks->lock);
    struct task *task = find(tasks, id);
    if (task != NULL)
        atomic_store(&task->stop, true);
    pthread_mutex_unlock(&tasks->lock);
}
