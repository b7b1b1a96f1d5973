#include "web/drops.h"

#include "base/memory.h"
#include "intake/readings.h"
#include "web/drop_preview.h"
#include "web/drop_wishes.h"

#include <errno.h>
#include <pthread.h>
#include <unistd.h>

struct drop {
    int64_t id;
    char *path, name[BOOK_NAME];
    bool by_eye;
    struct drop *next; /* an older one */
    /* under the lock of the drops */
    int holders;
    bool forgotten, whole, storing;
    unsigned turn; /* counts the previews: one of an earlier turn comes too late */
    int64_t task;
    struct drop_wishes wishes;
    json_t *preview;
};

struct drops {
    pthread_mutex_t lock;
    struct workshop *workshop;
    struct drop *newest;
    int64_t last_id;
};

struct drops *drops_new(struct workshop *workshop)
{
    struct drops *drops = memory_get(sizeof *drops);
    pthread_mutex_init(&drops->lock, NULL);
    drops->workshop = workshop;
    return drops;
}

static void drop_free(struct drop *drop)
{
    unlink(drop->path);
    json_decref(drop->preview);
    json_decref(drop->wishes.said);
    free(drop->path);
    free(drop);
}

void drops_free(struct drops *drops)
{
    if (drops == NULL)
        return;
    for (struct drop *drop = drops->newest; drop != NULL;) {
        struct drop *next = drop->next;
        drop_free(drop);
        drop = next;
    }
    pthread_mutex_destroy(&drops->lock);
    free(drops);
}

/* The lock is held. */
static struct drop *find(struct drops *drops, int64_t id)
{
    struct drop *drop = drops->newest;
    while (drop != NULL && (drop->id != id || drop->forgotten))
        drop = drop->next;
    return drop;
}

static struct drop *hold(struct drops *drops, int64_t id)
{
    pthread_mutex_lock(&drops->lock);
    struct drop *drop = find(drops, id);
    if (drop != NULL)
        drop->holders++;
    pthread_mutex_unlock(&drops->lock);
    return drop;
}

/* One that is forgotten and held by nobody, out of the list; NULL when there is none. */
static struct drop *take_gone(struct drops *drops)
{
    pthread_mutex_lock(&drops->lock);
    struct drop **place = &drops->newest;
    while (*place != NULL && !((*place)->forgotten && (*place)->holders == 0))
        place = &(*place)->next;
    struct drop *gone = *place;
    if (gone != NULL)
        *place = gone->next;
    pthread_mutex_unlock(&drops->lock);
    return gone;
}

static void sweep(struct drops *drops)
{
    for (struct drop *gone; (gone = take_gone(drops)) != NULL;)
        drop_free(gone);
}

static void let_go(struct drops *drops, struct drop *drop)
{
    pthread_mutex_lock(&drops->lock);
    drop->holders--;
    pthread_mutex_unlock(&drops->lock);
    sweep(drops);
}

bool drops_forget(struct drops *drops, int64_t id)
{
    int64_t task = 0;
    pthread_mutex_lock(&drops->lock);
    struct drop *drop = find(drops, id);
    if (drop != NULL) {
        drop->forgotten = true;
        task = drop->task;
    }
    pthread_mutex_unlock(&drops->lock);
    if (task != 0)
        task_stop(workshop_tasks(drops->workshop), task);
    sweep(drops);
    return drop != NULL;
}

static void forget_oldest(struct drops *drops)
{
    int64_t id = 0;
    int count = 0;
    pthread_mutex_lock(&drops->lock);
    for (const struct drop *drop = drops->newest; drop != NULL; drop = drop->next)
        if (!drop->forgotten && ++count > DROPS_KEPT)
            id = drop->id;
    pthread_mutex_unlock(&drops->lock);
    if (id != 0)
        drops_forget(drops, id);
}

/* A reading of a drop, for its preview or into the book; on a thread of its own or of the request. */
struct reading {
    struct drops *drops;
    struct drop *drop;
    unsigned turn;
    struct drop_wishes wishes; /* without `said` */
    struct log_options options;
    json_t *preview;
    struct task *task;
    double from_share, to_share; /* of the task */
    struct bring_in request;     /* when it is stored, with the name that it points at: */
    char sample[BOOK_NAME];
};

static void on_progress(void *context, double share)
{
    struct reading *reading = context;
    task_progress(reading->task, reading->from_share + (reading->to_share - reading->from_share) * share);
}

static bool on_stopped(void *context)
{
    struct reading *reading = context;
    return task_stopped(reading->task);
}

/* The lock is held. */
static struct reading *reading_new(struct drops *drops, struct drop *drop)
{
    struct reading *reading = memory_get(sizeof *reading);
    *reading = (struct reading){.drops = drops, .drop = drop, .turn = drop->turn, .wishes = drop->wishes, .to_share = 1};
    drop->holders++;
    reading->wishes.said = NULL;
    reading->options = (struct log_options){.wishes = reading->wishes.columns, .wish_count = reading->wishes.count,
                                            .period_s = reading->wishes.period_s, .sign = reading->wishes.sign};
    return reading;
}

static void reading_free(void *context)
{
    struct reading *reading = context;
    json_decref(reading->preview);
    let_go(reading->drops, reading->drop);
    free(reading);
}

/* Takes over the reading's preview, unless another has been asked for since. */
static void show(struct reading *reading, bool whole)
{
    struct drop *drop = reading->drop;
    json_t *fault = json_object_get(reading->preview, "fault");
    if (json_is_object(fault))
        json_put_words(fault, "file", drop->name);
    pthread_mutex_lock(&reading->drops->lock);
    if (drop->turn == reading->turn) {
        json_decref(drop->preview);
        drop->preview = json_deep_copy(reading->preview);
        drop->whole = whole;
        if (whole)
            drop->task = 0;
    }
    pthread_mutex_unlock(&reading->drops->lock);
}

static enum status read_whole(void *context, struct task *task, json_t **ret_result, struct message *message)
{
    struct reading *reading = context;
    reading->task = task;
    reading->options.progress = on_progress;
    reading->options.stopped = on_stopped;
    reading->options.context = reading;
    enum status status = preview_whole(reading->drop->path, &reading->options, reading->preview, message);
    if (status == STATUS_OK)
        show(reading, true);
    else
        status_at(message, reading->drop->name, message->line, message->column);
    *ret_result = json_pack("{s:I}", "drop", (json_int_t)reading->drop->id);
    return status;
}

static bool is_short(const json_t *preview)
{
    return json_integer_value(json_object_get(preview, "bytes")) <= DROPS_AT_ONCE;
}

static void start(struct reading *reading, enum status (*work)(void *, struct task *, json_t **, struct message *),
                  const char *what, int64_t *ret_task)
{
    struct drops *drops = reading->drops;
    struct drop *drop = reading->drop;
    unsigned turn = reading->turn;
    struct text title = TEXT_EMPTY;
    text_addf(&title, "%s %s", what, drop->name);
    struct task_work task = {.title = text_string(&title), .work = work, .done_with = reading_free, .context = reading};
    pthread_mutex_lock(&drops->lock);
    drop->holders++;
    pthread_mutex_unlock(&drops->lock);
    int64_t id = task_start(workshop_tasks(drops->workshop), &task);
    pthread_mutex_lock(&drops->lock);
    if (drop->turn == turn && !drop->whole) /* else it has ended already */
        drop->task = id;
    pthread_mutex_unlock(&drops->lock);
    let_go(drops, drop);
    text_free(&title);
    *ret_task = id;
}

/* The preview by what is now said of it: at once of a short log, of the first stretch of a long one. */
static void look_again(struct drops *drops, struct drop *drop)
{
    pthread_mutex_lock(&drops->lock);
    int64_t before = drop->task;
    drop->turn++;
    drop->task = 0;
    drop->whole = false;
    struct reading *reading = reading_new(drops, drop);
    pthread_mutex_unlock(&drops->lock);
    if (before != 0)
        task_stop(workshop_tasks(drops->workshop), before);
    struct message message = {0};
    reading->preview = json_object();
    bool readable = false;
    if (drop->by_eye)
        preview_typed(drop->path, reading->preview);
    else
        readable = preview_look(drop->path, &reading->options, reading->preview);
    bool at_once = !readable || is_short(reading->preview);
    if (readable && at_once) /* nothing can stop it, so that it never fails */
        (void)preview_whole(drop->path, &reading->options, reading->preview, &message);
    show(reading, at_once);
    if (at_once)
        reading_free(reading);
    else
        start(reading, read_whole, "Reading", &before);
}

/* Without folders, by either sign, and without what a name of a run cannot hold. */
static void take_name(struct drop *drop, const char *name)
{
    const char *base = name;
    for (const char *p = name; *p != '\0'; p++)
        if (*p == '/' || *p == '\\')
            base = p + 1;
    span_copy(span_trim(span_of(base)), drop->name, sizeof drop->name);
    if (drop->name[0] == '\0')
        snprintf(drop->name, sizeof drop->name, "readings.csv");
}

enum status drops_take(struct drops *drops, const char *path, const char *name, int64_t *ret_id, struct message *message)
{
    struct drop *drop = memory_get(sizeof *drop);
    struct text place = TEXT_EMPTY;
    take_name(drop, name);
    pthread_mutex_lock(&drops->lock);
    drop->id = ++drops->last_id;
    pthread_mutex_unlock(&drops->lock);
    text_addf(&place, "%s/drop-%lld", workshop_spool(drops->workshop), (long long)drop->id);
    drop->path = memory_copy_string(text_string(&place));
    text_free(&place);
    if (rename(path, drop->path) != 0) {
        status_fail(message, STATUS_UNREADABLE, "cannot be taken in: %s", strerror(errno));
        drop_free(drop);
        return STATUS_UNREADABLE;
    }
    size_t length = strlen(drop->name), ending = strlen(".readings");
    drop->by_eye = (length > ending && span_is_word(span_of(drop->name + length - ending), ".readings")) ||
                   readings_look_like(drop->path);
    drop->wishes.said = json_object();
    drop->preview = json_object();
    drop->holders = 1;
    pthread_mutex_lock(&drops->lock);
    drop->next = drops->newest;
    drops->newest = drop;
    pthread_mutex_unlock(&drops->lock);
    forget_oldest(drops);
    look_again(drops, drop);
    *ret_id = drop->id;
    let_go(drops, drop);
    return STATUS_OK;
}

json_t *drops_json(struct drops *drops, int64_t id)
{
    struct drop *drop = hold(drops, id);
    if (drop == NULL)
        return NULL;
    json_t *all = json_object();
    pthread_mutex_lock(&drops->lock);
    json_put(all, "drop", json_integer(drop->id));
    json_put_words(all, "name", drop->name);
    json_put(all, "whole", json_boolean(drop->whole));
    json_put(all, "task", json_integer(drop->task));
    json_put(all, "wishes", json_deep_copy(drop->wishes.said));
    json_put(all, "roles", preview_roles());
    json_object_update_missing(all, drop->preview);
    json_t *whole = json_deep_copy(all);
    json_decref(all);
    pthread_mutex_unlock(&drops->lock);
    let_go(drops, drop);
    return whole;
}

static enum status no_drop(struct message *message)
{
    status_fail(message, STATUS_USAGE, "this file is not here any more");
    return status_remedy(message, "drop it once more");
}

enum status drops_wish(struct drops *drops, int64_t id, const json_t *said, struct message *message)
{
    struct drop_wishes wishes = {0};
    enum status status = drop_wishes_read(said, &wishes, message);
    if (status != STATUS_OK)
        return status;
    struct drop *drop = hold(drops, id);
    if (drop == NULL)
        return no_drop(message);
    wishes.said = json_deep_copy(said);
    pthread_mutex_lock(&drops->lock);
    json_decref(drop->wishes.said);
    drop->wishes = wishes;
    drop->whole = false; /* what was seen was seen by other wishes */
    pthread_mutex_unlock(&drops->lock);
    look_again(drops, drop);
    let_go(drops, drop);
    return STATUS_OK;
}

/* Into the book; with the log's own name for it, not the spool's. */
static enum status put(struct reading *reading, struct log *log, struct book_run *ret_run, struct message *message)
{
    struct workshop *workshop = reading->drops->workshop;
    struct book *book = workshop_take(workshop, BOOK_WRITE, message);
    if (book == NULL)
        return message->status;
    if (log != NULL)
        snprintf(log->path, sizeof log->path, "%s", reading->drop->name);
    enum status status = bring_in(book, &reading->request, log, reading->drop->path, ret_run, message);
    workshop_put(workshop, book);
    return status;
}

static enum status store(void *context, struct task *task, json_t **ret_result, struct message *message)
{
    struct reading *reading = context;
    struct drop *drop = reading->drop;
    struct book_run run = {0};
    struct log *log = drop->by_eye ? NULL : memory_get(sizeof *log);
    enum status status = STATUS_OK;
    reading->task = task;
    reading->to_share = 0.5;
    reading->options.digits = true;
    reading->options.progress = reading->request.stored.progress = on_progress;
    reading->options.stopped = reading->request.stored.stopped = on_stopped;
    reading->options.context = reading->request.stored.context = reading;
    if (log != NULL)
        status = log_read(drop->path, &reading->options, log, message);
    reading->from_share = 0.5, reading->to_share = 1;
    if (status == STATUS_OK) {
        status = put(reading, log, &run, message);
        if (log != NULL)
            log_free(log);
    }
    free(log);
    if (status != STATUS_OK) {
        status_at(message, drop->name, message->line, message->column);
        pthread_mutex_lock(&reading->drops->lock);
        drop->storing = false;
        pthread_mutex_unlock(&reading->drops->lock);
        return status;
    }
    *ret_result = json_pack("{s:I,s:I}", "run", (json_int_t)run.id, "sample", (json_int_t)run.sample);
    if (reading->request.sample != NULL)
        workshop_tell(reading->drops->workshop, "sample", run.sample, run.sample);
    workshop_tell(reading->drops->workshop, "run", run.id, run.sample);
    drops_forget(reading->drops, drop->id);
    return STATUS_OK;
}

/* May it be stored as it is now understood? The lock is held. */
static enum status check_ready(const struct drop *drop, struct message *message)
{
    json_t *fault = json_object_get(drop->preview, "fault"), *sign = json_object_get(drop->preview, "sign");
    if (json_is_object(fault)) {
        status_fail(message, STATUS_MALFORMED, "%s", json_string_value(json_object_get(fault, "what")));
        return status_remedy(message, "settle this first");
    }
    if (!drop->whole) {
        status_fail(message, STATUS_USAGE, "the file is still being read");
        return status_remedy(message, "wait until it is read to its end");
    }
    if (drop->storing) {
        status_fail(message, STATUS_USAGE, "the file is being stored already");
        return status_remedy(message, "wait until it is");
    }
    if (sign != NULL && !json_is_true(json_object_get(sign, "known"))) {
        status_fail(message, STATUS_AMBIGUOUS, "which sign of the current leaves the sample cannot be told");
        return status_remedy(message, "say whether charge or discharge is counted as positive");
    }
    return STATUS_OK;
}

enum status drops_confirm(struct drops *drops, int64_t id, const struct bring_in *request, int64_t *ret_task,
                          struct message *message)
{
    struct drop *drop = hold(drops, id);
    if (drop == NULL)
        return no_drop(message);
    struct reading *reading = NULL;
    pthread_mutex_lock(&drops->lock);
    enum status status = check_ready(drop, message);
    if (status == STATUS_OK) {
        drop->storing = true;
        reading = reading_new(drops, drop);
    }
    pthread_mutex_unlock(&drops->lock);
    if (reading != NULL) {
        reading->request = *request;
        if (request->sample != NULL) {
            snprintf(reading->sample, sizeof reading->sample, "%s", request->sample);
            reading->request.sample = reading->sample;
        }
        if (request->stored.run.name[0] == '\0')
            snprintf(reading->request.stored.run.name, sizeof reading->request.stored.run.name, "%s", drop->name);
        start(reading, store, "Storing", ret_task);
    }
    let_go(drops, drop);
    return status;
}
