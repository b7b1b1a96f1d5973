#include "web/workshop.h"

#include "base/memory.h"
#include "report/ready_pictures.h"
#include "web/assessed.h"
#include "web/benches.h"
#include "web/drops.h"
#include "web/pool.h"
#include "web/shelf_keeper.h"
#include "web/tasks.h"

struct workshop {
    char *path, *spool;
    struct clock clock;
    struct events *events;
    struct door *door;
    struct pool *pool;
    struct assessed *assessed;
    struct tasks *tasks;
    struct benches *benches;
    struct shelf_keeper *shelf;
    struct drops *drops;
    struct ready_pictures *pictures;
};

enum status workshop_open(const struct workshop_setup *setup, struct workshop **ret_workshop, struct message *message)
{
    struct pool *pool = pool_new(setup->book);
    /* for writing, so that a book of an older form is brought up to date once, before many ask for it */
    struct book *book = pool_take(pool, BOOK_WRITE, message);
    if (book == NULL) {
        pool_free(pool);
        return message->status;
    }
    pool_put(pool, book);
    struct workshop *workshop = memory_get(sizeof *workshop);
    *workshop = (struct workshop){
        .path = memory_copy_string(setup->book),
        .spool = memory_copy_string(setup->spool),
        .clock = setup->clock != NULL ? *setup->clock : clock_machine(),
        .events = setup->events,
        .door = setup->door,
        .pool = pool,
        .assessed = assessed_new(),
        .tasks = tasks_new(setup->events),
        .pictures = ready_pictures_new(),
    };
    workshop->benches = benches_new(workshop);
    workshop->shelf = shelf_keeper_new(workshop);
    workshop->drops = drops_new(workshop);
    *ret_workshop = workshop;
    return STATUS_OK;
}

void workshop_close(struct workshop *workshop)
{
    if (workshop == NULL)
        return;
    benches_free(workshop->benches);
    tasks_free(workshop->tasks);
    shelf_keeper_free(workshop->shelf);
    drops_free(workshop->drops);
    assessed_free(workshop->assessed);
    ready_pictures_free(workshop->pictures);
    pool_free(workshop->pool);
    free(workshop->path);
    free(workshop->spool);
    free(workshop);
}

const char *workshop_path(const struct workshop *workshop)
{
    return workshop->path;
}

const char *workshop_spool(const struct workshop *workshop)
{
    return workshop->spool;
}

struct events *workshop_events(struct workshop *workshop)
{
    return workshop->events;
}

struct door *workshop_door(struct workshop *workshop)
{
    return workshop->door;
}

const struct clock *workshop_clock(const struct workshop *workshop)
{
    return &workshop->clock;
}

int64_t workshop_utc_ns(const struct workshop *workshop)
{
    return workshop->clock.utc_ns(workshop->clock.context);
}

struct drops *workshop_drops(struct workshop *workshop)
{
    return workshop->drops;
}

struct benches *workshop_benches(struct workshop *workshop)
{
    return workshop->benches;
}

struct tasks *workshop_tasks(struct workshop *workshop)
{
    return workshop->tasks;
}

struct ready_pictures *workshop_pictures(struct workshop *workshop)
{
    return workshop->pictures;
}

struct shelf_keeper *workshop_shelf(struct workshop *workshop)
{
    return workshop->shelf;
}

struct book *workshop_take(struct workshop *workshop, enum book_access access, struct message *message)
{
    return pool_take(workshop->pool, access, message);
}

void workshop_put(struct workshop *workshop, struct book *book)
{
    pool_put(workshop->pool, book);
}

void workshop_tell(struct workshop *workshop, const char *what, int64_t id, int64_t sample)
{
    char line[160];
    int n = snprintf(line, sizeof line, "{\"what\":\"%s\",\"id\":%lld,\"sample\":%lld}", what, (long long)id,
                     (long long)sample);
    events_publish(workshop->events, "book", (struct span){line, (size_t)n});
    if (strcmp(what, "digest") != 0)
        shelf_keeper_wake(workshop->shelf);
}

const struct assessment *workshop_assessed(struct workshop *workshop, int64_t sample, int64_t run,
                                           struct message *message)
{
    struct book *book = workshop_take(workshop, BOOK_READ, message);
    if (book == NULL)
        return NULL;
    const struct assessment *assessment = assessed_take(workshop->assessed, book, sample, run,
                                                        workshop->clock.now_ns(workshop->clock.context), message);
    workshop_put(workshop, book);
    return assessment;
}

void workshop_give_back(struct workshop *workshop, const struct assessment *assessment)
{
    assessed_give_back(workshop->assessed, assessment);
}

const struct ground *workshop_ground(struct workshop *workshop, const struct assessment *assessment,
                                     struct message *message)
{
    return assessed_ground(workshop->assessed, assessment, message);
}
