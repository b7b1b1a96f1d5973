#include "instrument/runner.h"

#include "base/memory.h"
#include "base/nearest.h"

#include <errno.h>
#include <poll.h>
#include <pthread.h>
#include <stdatomic.h>
#include <sys/eventfd.h>
#include <unistd.h>

static const double first_wait_s = 1, longest_wait_s = 30; /* of the back-off */
static const double machine_late_s = 0.05; /* of the machine: how late a busy one may run a thread */
static const double patience_s = 0.25;     /* of the machine: how long a stop may have to wait for a thread */
static const int64_t second_ns = 1000000000;

struct worker {
    struct runner *runner;
    size_t index;
    const struct link *link;
    const struct driver *driver;
    void *state;
    pthread_t thread;
    bool running;
    /* of its thread alone */
    double wait_s;         /* the next back-off */
    int64_t heard_ns;      /* when it last said anything, or was connected */
    bool silent;           /* said so already */
    int64_t garbage_ns;    /* when garbage was last pushed */
    unsigned long dropped; /* garbage since then */
    struct arrival last;   /* reading */
    char cause[160];       /* of the loss that was pushed last, "" while connected */
};

struct runner {
    const struct clock *clock;
    struct worker *workers;
    size_t worker_count;
    int bell; /* eventfd: rung at every push and wake */
    atomic_bool woken, stopping;
    pthread_mutex_t lock;
    pthread_cond_t room; /* or stopping */
    struct news *ring;   /* `limit` while running, and one more for each thread's last word */
    size_t limit, ring_size, first, count;
};

const struct driver *driver_find(const struct driver *const *among, const char *name)
{
    for (size_t k = 0; among[k] != NULL; k++)
        if (strcmp(among[k]->name, name) == 0)
            return among[k];
    return NULL;
}

static int64_t now_ns(const struct runner *runner)
{
    return runner->clock->now_ns(runner->clock->context);
}

static void ring_bell(struct runner *runner)
{
    static const uint64_t once = 1;
    while (write(runner->bell, &once, sizeof once) < 0 && errno == EINTR)
        ;
}

static void push(struct worker *worker, const struct news *news)
{
    struct runner *runner = worker->runner;
    pthread_mutex_lock(&runner->lock);
    while (runner->count >= runner->limit && !runner->stopping)
        pthread_cond_wait(&runner->room, &runner->lock);
    if (runner->count < runner->ring_size)
        runner->ring[(runner->first + runner->count++) % runner->ring_size] = *news;
    pthread_mutex_unlock(&runner->lock);
    ring_bell(runner);
}

static void tell(struct worker *worker, enum news_kind kind, const char *text)
{
    struct news news = {.instrument = worker->index, .kind = kind, .at_ns = now_ns(worker->runner)};
    span_copy(span_of(text), news.text, sizeof news.text);
    push(worker, &news);
}

/* Waits for that long of the clock, or until the runner stops. */
static void pause_for(struct worker *worker, double seconds)
{
    struct runner *runner = worker->runner;
    struct timespec until;
    clock_gettime(CLOCK_MONOTONIC, &until);
    int64_t ns = until.tv_nsec + (int64_t)clock_timeout_ms(runner->clock, seconds) * 1000000;
    until.tv_sec += ns / second_ns;
    until.tv_nsec = ns % second_ns;
    pthread_mutex_lock(&runner->lock);
    while (!runner->stopping && pthread_cond_timedwait(&runner->room, &runner->lock, &until) != ETIMEDOUT)
        ;
    pthread_mutex_unlock(&runner->lock);
}

/* Says a cause once, however often it comes again, and waits before the next try. */
static void lose(struct worker *worker, const struct message *message)
{
    char cause[160];
    span_copy(span_of(message->what), cause, sizeof cause);
    if (strcmp(cause, worker->cause) != 0 || worker->cause[0] == '\0')
        tell(worker, NEWS_LOST, cause);
    span_copy(span_of(cause), worker->cause, sizeof worker->cause);
    pause_for(worker, worker->wait_s);
    worker->wait_s = fmin(worker->wait_s * 2, longest_wait_s);
}

static bool reach(struct worker *worker)
{
    char identity[128] = "";
    struct message message = {0};
    if (worker->driver->connect(worker->state, identity, &message) != STATUS_OK) {
        lose(worker, &message);
        return false;
    }
    worker->cause[0] = '\0';
    worker->silent = false;
    worker->heard_ns = now_ns(worker->runner);
    tell(worker, NEWS_CONNECTED, identity);
    return true;
}

static void note_silence(struct worker *worker)
{
    double late_s = machine_late_s * (worker->runner->clock->rate - 1); /* of a bench faster than life */
    double allowed_s = fmax(3 * worker->link->period_s, worker->link->timeout_s) + fmax(late_s, 0);
    double quiet_s = (double)(now_ns(worker->runner) - worker->heard_ns) * 1e-9;
    if (worker->silent || worker->link->channel_count == 0 || !(quiet_s > allowed_s))
        return;
    char text[64];
    snprintf(text, sizeof text, "nothing heard for %.3g s", quiet_s);
    worker->silent = true;
    tell(worker, NEWS_SILENT, text);
}

static void note_garbage(struct worker *worker, const struct message *message)
{
    int64_t now = now_ns(worker->runner);
    if (worker->garbage_ns != 0 && now - worker->garbage_ns < second_ns) {
        worker->dropped++;
        return;
    }
    char text[160], more[48] = "";
    if (worker->dropped > 0)
        snprintf(more, sizeof more, "(%lu more since the last) ", worker->dropped);
    snprintf(text, sizeof text, "%s%s", more, message->what);
    worker->garbage_ns = now;
    worker->dropped = 0;
    tell(worker, NEWS_GARBAGE, text);
}

static bool same_decimal(struct decimal a, struct decimal b)
{
    return a.kind == b.kind && a.mantissa == b.mantissa && a.decimals == b.decimals;
}

/* Asked again before it has measured again: its own time stands still, and all that it says with it. */
static bool said_before(const struct worker *worker, const struct arrival *arrival)
{
    bool same = worker->link->own_time && arrival->time.kind == DECIMAL_NUMBER &&
                same_decimal(arrival->time, worker->last.time) && strcmp(arrival->odd, worker->last.odd) == 0;
    for (int k = 0; same && k < worker->link->channel_count; k++)
        same = same_decimal(arrival->cells[k], worker->last.cells[k]);
    return same;
}

static void note_reading(struct worker *worker, struct news *news)
{
    if (said_before(worker, &news->arrival)) {
        note_silence(worker);
        return;
    }
    worker->last = news->arrival;
    worker->heard_ns = news->arrival.at_ns;
    worker->silent = false;
    worker->wait_s = first_wait_s;
    news->instrument = worker->index;
    news->kind = NEWS_READING;
    news->at_ns = news->arrival.at_ns;
    push(worker, news);
}

/* Once around while connected; false when the connection, or all of it, is over. */
static bool listen_once(struct worker *worker, bool *ret_over)
{
    struct news news = {0};
    struct message message = {0};
    double timeout_s = fmin(worker->link->timeout_s, patience_s * worker->runner->clock->rate);
    switch (worker->driver->hear(worker->state, timeout_s, &news.arrival, &message)) {
    case HEARD_READING: note_reading(worker, &news); return true;
    case HEARD_NOTHING: note_silence(worker); return true;
    case HEARD_GARBAGE:
        note_garbage(worker, &message);
        note_silence(worker);
        return true;
    case HEARD_LOST:
        worker->driver->disconnect(worker->state);
        lose(worker, &message);
        return false;
    case HEARD_END: break;
    }
    tell(worker, NEWS_END, message.what);
    *ret_over = true;
    return false;
}

static void *work(void *argument)
{
    struct worker *worker = argument;
    bool over = false;
    worker->wait_s = first_wait_s;
    while (!worker->runner->stopping && !over) {
        if (!reach(worker))
            continue;
        while (!worker->runner->stopping && listen_once(worker, &over))
            ;
        if (over || worker->runner->stopping)
            worker->driver->disconnect(worker->state);
    }
    return NULL;
}

static enum status prepare_worker(struct worker *worker, const struct driver *const *among,
                                  struct message *message)
{
    const struct link *link = worker->link;
    worker->driver = driver_find(among, link->driver);
    if (worker->driver == NULL) {
        link_fault(link, NULL, NULL, message, "[%s]: driver `%s` cannot be used here", link->name,
                   link->driver);
        const char *names[32];
        size_t n = 0;
        for (; among[n] != NULL && n + 1 < sizeof names / sizeof *names; n++)
            names[n] = among[n]->name;
        names[n] = NULL;
        char list[200];
        name_list(names, list, sizeof list);
        return status_remedy(message, "drivers here are %s", list);
    }
    return worker->driver->prepare(link, worker->runner->clock, &worker->state, message);
}

enum status runner_prepare(const struct links *links, const struct driver *const *among,
                           const struct clock *clock, size_t queue_room, struct runner **ret_runner,
                           struct message *message)
{
    struct runner *runner = memory_get(sizeof *runner);
    pthread_condattr_t by_monotonic;
    pthread_condattr_init(&by_monotonic);
    pthread_condattr_setclock(&by_monotonic, CLOCK_MONOTONIC);
    pthread_cond_init(&runner->room, &by_monotonic);
    pthread_condattr_destroy(&by_monotonic);
    pthread_mutex_init(&runner->lock, NULL);
    runner->clock = clock;
    runner->limit = queue_room > 0 ? queue_room : 1;
    runner->ring_size = runner->limit + links->count;
    runner->ring = memory_get(runner->ring_size * sizeof *runner->ring);
    runner->workers = memory_get(links->count * sizeof *runner->workers);
    runner->bell = eventfd(0, EFD_CLOEXEC | EFD_NONBLOCK);
    enum status status = STATUS_OK;
    if (runner->bell < 0)
        status = status_fail(message, STATUS_LIMIT, "no more files can be opened: %s", strerror(errno));
    for (size_t k = 0; k < links->count && status == STATUS_OK; k++) {
        struct worker *worker = &runner->workers[runner->worker_count];
        *worker = (struct worker){.runner = runner, .index = k, .link = &links->items[k]};
        status = prepare_worker(worker, among, message);
        runner->worker_count += status == STATUS_OK;
    }
    if (status != STATUS_OK) {
        runner_free(runner);
        return status;
    }
    *ret_runner = runner;
    return STATUS_OK;
}

enum status runner_start(struct runner *runner, struct message *message)
{
    for (size_t k = 0; k < runner->worker_count; k++) {
        struct worker *worker = &runner->workers[k];
        int error = pthread_create(&worker->thread, NULL, work, worker);
        if (error != 0) {
            runner_stop(runner);
            return status_fail(message, STATUS_LIMIT, "no thread for [%s]: %s", worker->link->name,
                               strerror(error));
        }
        worker->running = true;
    }
    return STATUS_OK;
}

static size_t take_queued(struct runner *runner, struct news *ret_news, size_t room)
{
    size_t taken = 0;
    pthread_mutex_lock(&runner->lock);
    for (; taken < room && runner->count > 0; runner->count--) {
        ret_news[taken++] = runner->ring[runner->first];
        runner->first = (runner->first + 1) % runner->ring_size;
    }
    if (taken > 0)
        pthread_cond_broadcast(&runner->room);
    pthread_mutex_unlock(&runner->lock);
    return taken;
}

size_t runner_take(struct runner *runner, struct news *ret_news, size_t room, double timeout_s)
{
    int64_t until_ns = now_ns(runner) + (int64_t)(fmin(fmax(timeout_s, 0), 1e9) * 1e9);
    for (;;) {
        size_t taken = take_queued(runner, ret_news, room);
        int64_t left_ns = until_ns - now_ns(runner);
        if (taken > 0 || left_ns <= 0 || atomic_exchange(&runner->woken, false))
            return taken;
        struct pollfd bell = {.fd = runner->bell, .events = POLLIN};
        uint64_t rings;
        if (poll(&bell, 1, clock_timeout_ms(runner->clock, (double)left_ns * 1e-9)) > 0 &&
            read(runner->bell, &rings, sizeof rings) < 0 && errno != EAGAIN && errno != EINTR)
            return 0;
    }
}

void runner_wake(struct runner *runner)
{
    int kept = errno;
    atomic_store(&runner->woken, true);
    ring_bell(runner);
    errno = kept;
}

void runner_stop(struct runner *runner)
{
    pthread_mutex_lock(&runner->lock);
    runner->stopping = true;
    pthread_cond_broadcast(&runner->room);
    pthread_mutex_unlock(&runner->lock);
    for (size_t k = 0; k < runner->worker_count; k++)
        if (runner->workers[k].running)
            pthread_join(runner->workers[k].thread, NULL);
    for (size_t k = 0; k < runner->worker_count; k++)
        runner->workers[k].running = false;
}

void runner_free(struct runner *runner)
{
    if (runner == NULL)
        return;
    runner_stop(runner);
    for (size_t k = 0; k < runner->worker_count; k++)
        runner->workers[k].driver->free(runner->workers[k].state);
    if (runner->bell >= 0)
        close(runner->bell);
    pthread_cond_destroy(&runner->room);
    pthread_mutex_destroy(&runner->lock);
    free(runner->workers);
    free(runner->ring);
    free(runner);
}
