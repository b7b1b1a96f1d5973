#include "asking.h"
#include "web/tasks.h"

#include <pthread.h>
#include <stdatomic.h>

/* Work that goes on when it is told to, so that no test waits by the clock. */
struct job {
    pthread_mutex_t lock;
    pthread_cond_t changed;
    bool go, begun;
    bool fails;
    atomic_int freed;
};

static void job_init(struct job *job)
{
    *job = (struct job){.fails = false};
    pthread_mutex_init(&job->lock, NULL);
    pthread_cond_init(&job->changed, NULL);
}

static void job_set(struct job *job, bool *what)
{
    pthread_mutex_lock(&job->lock);
    *what = true;
    pthread_cond_broadcast(&job->changed);
    pthread_mutex_unlock(&job->lock);
}

static void job_wait(struct job *job, const bool *what)
{
    pthread_mutex_lock(&job->lock);
    while (!*what)
        pthread_cond_wait(&job->changed, &job->lock);
    pthread_mutex_unlock(&job->lock);
}

static enum status work(void *context, struct task *task, json_t **ret_result, struct message *message)
{
    struct job *job = context;
    task_progress(task, 0.25);
    job_set(job, &job->begun);
    job_wait(job, &job->go);
    if (job->fails) {
        status_fail(message, STATUS_MALFORMED, "the third line is torn");
        return status_at(message, "x.csv", 3, 0);
    }
    if (task_stopped(task))
        return status_fail(message, STATUS_USAGE, "stopped");
    *ret_result = json_pack("{s:i}", "runs", 3);
    return STATUS_OK;
}

static void done_with(void *context)
{
    struct job *job = context;
    atomic_fetch_add(&job->freed, 1);
}

static int64_t start(struct tasks *tasks, struct job *job)
{
    struct task_work one = {.title = "Reading x.csv", .work = work, .done_with = done_with, .context = job};
    int64_t id = task_start(tasks, &one);
    job_wait(job, &job->begun);
    return id;
}

/* Follows the news until the task is over; what its last event said. */
static json_t *follow(struct events *events, struct events_place *place)
{
    json_t *last = NULL;
    for (bool over = false; !over;) {
        struct text wire = TEXT_EMPTY;
        if (!events_next(events, place, 5000, &wire))
            over = true;
        for (const char *line = text_string(&wire); (line = strstr(line, "data: {\"task\"")) != NULL; line++) {
            size_t n = strcspn(line + 6, "\n"); /* the stream has events of its own too */
            json_decref(last);
            last = json_loadb(line + 6, n, 0, NULL);
        }
        over |= last != NULL && strcmp(asking_words(last, "state"), "running") != 0;
        text_free(&wire);
    }
    return last;
}

TEST(a_result_is_told_and_stays)
{
    struct events *events = events_new(64, 1);
    struct tasks *tasks = tasks_new(events);
    struct events_place place;
    struct job job;
    job_init(&job);
    events_enter(events, "task", "", &place);
    int64_t id = start(tasks, &job);
    json_t *now = task_json(tasks, id);
    CHECK_TEXT(asking_words(now, "state"), "running");
    CHECK_NEAR(json_number_value(json_object_get(now, "share")), 0.25, 0);
    json_decref(now);
    job_set(&job, &job.go);
    json_t *last = follow(events, &place);
    CHECK_TEXT(asking_words(last, "state"), "done");
    CHECK_TEXT(asking_words(last, "title"), "Reading x.csv");
    CHECK(asking_number(last, "task") == id && asking_number(json_object_get(last, "result"), "runs") == 3);
    json_t *kept = task_json(tasks, id);
    CHECK(json_equal(kept, last));
    CHECK(task_json(tasks, id + 1) == NULL);
    json_decref(kept);
    json_decref(last);
    tasks_free(tasks);
    CHECK(atomic_load(&job.freed) == 1);
    events_free(events);
}

TEST(a_fault_says_where)
{
    struct events *events = events_new(64, 1);
    struct tasks *tasks = tasks_new(events);
    struct events_place place;
    struct job job;
    job_init(&job);
    job.fails = job.go = true;
    events_enter(events, "task", "", &place);
    start(tasks, &job);
    json_t *last = follow(events, &place), *fault = json_object_get(last, "fault");
    CHECK_TEXT(asking_words(last, "state"), "failed");
    CHECK_TEXT(asking_words(fault, "what"), "the third line is torn");
    CHECK(asking_number(fault, "line") == 3);
    json_decref(last);
    tasks_free(tasks);
    events_free(events);
}

TEST(one_is_stopped_and_others_go_on)
{
    struct events *events = events_new(64, 1);
    struct tasks *tasks = tasks_new(events);
    struct events_place place;
    struct job one, other;
    job_init(&one);
    job_init(&other);
    int64_t first = start(tasks, &one), second = start(tasks, &other);
    events_enter(events, "task", "", &place);
    task_stop(tasks, first);
    task_stop(tasks, 99); /* none */
    job_set(&one, &one.go);
    json_t *last = follow(events, &place), *running = task_json(tasks, second);
    CHECK_TEXT(asking_words(last, "state"), "stopped");
    CHECK_TEXT(asking_words(running, "state"), "running");
    json_decref(last);
    json_decref(running);
    job_set(&other, &other.go);
    tasks_free(tasks); /* waits */
    CHECK(atomic_load(&one.freed) == 1 && atomic_load(&other.freed) == 1);
    events_free(events);
}

TEST(many_that_ended_do_not_pile_up)
{
    enum { MANY = 100 };
    struct events *events = events_new(64, 1);
    struct tasks *tasks = tasks_new(events);
    struct job job;
    job_init(&job);
    job.go = true;
    for (int k = 0; k < MANY; k++) {
        struct events_place place;
        events_enter(events, "task", "", &place);
        start(tasks, &job);
        json_decref(follow(events, &place));
    }
    int kept = 0;
    for (int64_t id = 1; id <= MANY; id++) {
        json_t *one = task_json(tasks, id);
        kept += one != NULL;
        json_decref(one);
    }
    CHECK(kept >= 64 && kept < 70);
    tasks_free(tasks);
    CHECK(atomic_load(&job.freed) == MANY);
    events_free(events);
}

TEST(a_page_asks_and_stops)
{
    struct asking a;
    struct job job;
    char path[64];
    job_init(&job);
    asking_open(&a);
    snprintf(path, sizeof path, "/api/tasks/%lld", (long long)start(workshop_tasks(a.workshop), &job));
    CHECK(ask(&a, task_routes, "GET", path, NULL) == 200);
    CHECK_TEXT(asking_words(a.json, "state"), "running");
    CHECK(ask(&a, task_routes, "DELETE", path, NULL) == 200);
    job_set(&job, &job.go);
    CHECK(ask(&a, task_routes, "GET", "/api/tasks/77", NULL) == 404);
    CHECK(ask(&a, task_routes, "GET", "/api/tasks/x", NULL) == 404 || a.reply.status == 400);
    asking_close(&a);
    CHECK(atomic_load(&job.freed) == 1);
}
