#include "http/guests.h"

#include "base/clock.h"
#include "base/memory.h"

#include <errno.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <poll.h>
#include <pthread.h>
#include <sys/socket.h>

static const int64_t second_ns = 1000000000;

struct guest {
    struct guest *next, *before;
    int fd;
    char from[GUESTS_FROM];
    int64_t deadline_ns; /* 0: none */
    bool stream;
};

struct guests {
    pthread_mutex_t lock;
    pthread_cond_t stop;
    pthread_t watch;
    bool over;
    int patience_ms;
    struct clock clock;
    struct guest *first;
};

static int64_t now(const struct guests *guests)
{
    return guests->clock.now_ns(guests->clock.context);
}

/* Looks four times a second; the thread of the connection finds its socket shut and ends it. */
static void *watch(void *context)
{
    struct guests *guests = context;
    pthread_mutex_lock(&guests->lock);
    while (!guests->over) {
        int64_t at = now(guests), until = at + second_ns / 4;
        for (struct guest *guest = guests->first; guest != NULL; guest = guest->next) {
            if (guest->deadline_ns == 0 || guest->deadline_ns > at)
                continue;
            shutdown(guest->fd, SHUT_RDWR);
            guest->deadline_ns = 0;
        }
        struct timespec wake = {.tv_sec = until / second_ns, .tv_nsec = until % second_ns};
        pthread_cond_timedwait(&guests->stop, &guests->lock, &wake);
    }
    pthread_mutex_unlock(&guests->lock);
    return NULL;
}

struct guests *guests_new(int patience_ms)
{
    struct guests *guests = memory_get(sizeof *guests);
    pthread_condattr_t steady;
    guests->clock = clock_machine();
    guests->patience_ms = patience_ms;
    pthread_condattr_init(&steady);
    pthread_condattr_setclock(&steady, CLOCK_MONOTONIC);
    pthread_mutex_init(&guests->lock, NULL);
    pthread_cond_init(&guests->stop, &steady);
    pthread_condattr_destroy(&steady);
    if (pthread_create(&guests->watch, NULL, watch, guests) == 0)
        return guests;
    pthread_cond_destroy(&guests->stop);
    pthread_mutex_destroy(&guests->lock);
    free(guests);
    return NULL;
}

void guests_free(struct guests *guests)
{
    if (guests == NULL)
        return;
    pthread_mutex_lock(&guests->lock);
    guests->over = true;
    pthread_cond_signal(&guests->stop);
    pthread_mutex_unlock(&guests->lock);
    pthread_join(guests->watch, NULL);
    pthread_cond_destroy(&guests->stop);
    pthread_mutex_destroy(&guests->lock);
    free(guests);
}

struct guest *guests_add(struct guests *guests, int fd, const char *from)
{
    struct guest *guest = memory_get(sizeof *guest);
    unsigned patience_ms = (unsigned)guests->patience_ms;
    int yes = 1;
    guest->fd = fd;
    snprintf(guest->from, sizeof guest->from, "%s", from);
    /* Without them the guest works all the same, only slower to notice. */
    if (setsockopt(fd, IPPROTO_TCP, TCP_USER_TIMEOUT, &patience_ms, sizeof patience_ms) != 0 ||
        setsockopt(fd, IPPROTO_TCP, TCP_NODELAY, &yes, sizeof yes) != 0)
        errno = 0;
    pthread_mutex_lock(&guests->lock);
    guest->next = guests->first;
    if (guest->next != NULL)
        guest->next->before = guest;
    guests->first = guest;
    guest->deadline_ns = now(guests) + guests->patience_ms * (second_ns / 1000);
    pthread_mutex_unlock(&guests->lock);
    return guest;
}

void guests_remove(struct guests *guests, struct guest *guest)
{
    pthread_mutex_lock(&guests->lock);
    *(guest->before != NULL ? &guest->before->next : &guests->first) = guest->next;
    if (guest->next != NULL)
        guest->next->before = guest->before;
    pthread_mutex_unlock(&guests->lock);
    free(guest);
}

const char *guest_from(const struct guest *guest)
{
    return guest->from;
}

bool guest_is_gone(const struct guest *guest)
{
    struct pollfd end = {.fd = guest->fd, .events = POLLRDHUP};
    return poll(&end, 1, 0) == 1;
}

static int64_t worth_ns(size_t bytes)
{
    return (int64_t)(bytes / GUESTS_BYTES_S) * second_ns + (int64_t)(bytes % GUESTS_BYTES_S) * second_ns / GUESTS_BYTES_S;
}

void guests_owe(struct guests *guests, struct guest *guest, size_t bytes)
{
    pthread_mutex_lock(&guests->lock);
    guest->deadline_ns = now(guests) + guests->patience_ms * (second_ns / 1000) + worth_ns(bytes);
    pthread_mutex_unlock(&guests->lock);
}

void guests_moved(struct guests *guests, struct guest *guest, size_t bytes)
{
    pthread_mutex_lock(&guests->lock);
    if (guest->deadline_ns != 0)
        guest->deadline_ns += worth_ns(bytes);
    pthread_mutex_unlock(&guests->lock);
}

void guests_at_ease(struct guests *guests, struct guest *guest)
{
    pthread_mutex_lock(&guests->lock);
    guest->deadline_ns = 0;
    pthread_mutex_unlock(&guests->lock);
}

bool guests_stream(struct guests *guests, struct guest *guest)
{
    int all = 0, own = 0;
    pthread_mutex_lock(&guests->lock);
    for (const struct guest *one = guests->first; one != NULL; one = one->next) {
        all += one->stream;
        own += one->stream && strcmp(one->from, guest->from) == 0;
    }
    guest->stream = all < GUESTS_STREAMS && own < GUESTS_STREAMS_FROM;
    bool taken = guest->stream;
    pthread_mutex_unlock(&guests->lock);
    return taken;
}
