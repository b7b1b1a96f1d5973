#include "http/lines.h"

#include "base/clock.h"
#include "base/memory.h"

#include <errno.h>
#include <pthread.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <sys/socket.h>

static const int64_t second_ns = 1000000000;

struct line {
    struct line *next, *before;
    int fd;
    char from[LINES_FROM];
    int64_t deadline_ns; /* 0: none */
    bool stream;
};

struct lines {
    pthread_mutex_t lock;
    pthread_cond_t stop;
    pthread_t watch;
    bool over;
    struct clock clock;
    struct line *first;
};

static int64_t now(const struct lines *lines)
{
    return lines->clock.now_ns(lines->clock.context);
}

/* Looks four times a second; the thread of the connection finds its socket shut and ends it. */
static void *watch(void *context)
{
    struct lines *lines = context;
    pthread_mutex_lock(&lines->lock);
    while (!lines->over) {
        int64_t at = now(lines), until = at + second_ns / 4;
        for (struct line *line = lines->first; line != NULL; line = line->next) {
            if (line->deadline_ns == 0 || line->deadline_ns > at)
                continue;
            shutdown(line->fd, SHUT_RDWR);
            line->deadline_ns = 0;
        }
        struct timespec wake = {.tv_sec = until / second_ns, .tv_nsec = until % second_ns};
        pthread_cond_timedwait(&lines->stop, &lines->lock, &wake);
    }
    pthread_mutex_unlock(&lines->lock);
    return NULL;
}

struct lines *lines_new(void)
{
    struct lines *lines = memory_get(sizeof *lines);
    pthread_condattr_t steady;
    lines->clock = clock_machine();
    pthread_condattr_init(&steady);
    pthread_condattr_setclock(&steady, CLOCK_MONOTONIC);
    pthread_mutex_init(&lines->lock, NULL);
    pthread_cond_init(&lines->stop, &steady);
    pthread_condattr_destroy(&steady);
    if (pthread_create(&lines->watch, NULL, watch, lines) == 0)
        return lines;
    pthread_cond_destroy(&lines->stop);
    pthread_mutex_destroy(&lines->lock);
    free(lines);
    return NULL;
}

void lines_free(struct lines *lines)
{
    if (lines == NULL)
        return;
    pthread_mutex_lock(&lines->lock);
    lines->over = true;
    pthread_cond_signal(&lines->stop);
    pthread_mutex_unlock(&lines->lock);
    pthread_join(lines->watch, NULL);
    pthread_cond_destroy(&lines->stop);
    pthread_mutex_destroy(&lines->lock);
    free(lines);
}

struct line *lines_add(struct lines *lines, int fd, const char *from)
{
    struct line *line = memory_get(sizeof *line);
    unsigned patience_ms = LINES_PATIENCE_S * 1000;
    int yes = 1;
    line->fd = fd;
    snprintf(line->from, sizeof line->from, "%s", from);
    /* Without them the line works all the same, only slower to notice. */
    if (setsockopt(fd, IPPROTO_TCP, TCP_USER_TIMEOUT, &patience_ms, sizeof patience_ms) != 0 ||
        setsockopt(fd, IPPROTO_TCP, TCP_NODELAY, &yes, sizeof yes) != 0)
        errno = 0;
    pthread_mutex_lock(&lines->lock);
    line->next = lines->first;
    if (line->next != NULL)
        line->next->before = line;
    lines->first = line;
    line->deadline_ns = now(lines) + LINES_PATIENCE_S * second_ns;
    pthread_mutex_unlock(&lines->lock);
    return line;
}

void lines_remove(struct lines *lines, struct line *line)
{
    pthread_mutex_lock(&lines->lock);
    *(line->before != NULL ? &line->before->next : &lines->first) = line->next;
    if (line->next != NULL)
        line->next->before = line->before;
    pthread_mutex_unlock(&lines->lock);
    free(line);
}

const char *line_from(const struct line *line)
{
    return line->from;
}

static int64_t worth_ns(size_t bytes)
{
    return (int64_t)(bytes / LINES_BYTES_S) * second_ns + (int64_t)(bytes % LINES_BYTES_S) * second_ns / LINES_BYTES_S;
}

void lines_owes(struct lines *lines, struct line *line, size_t bytes)
{
    pthread_mutex_lock(&lines->lock);
    line->deadline_ns = now(lines) + LINES_PATIENCE_S * second_ns + worth_ns(bytes);
    pthread_mutex_unlock(&lines->lock);
}

void lines_moved(struct lines *lines, struct line *line, size_t bytes)
{
    pthread_mutex_lock(&lines->lock);
    if (line->deadline_ns != 0)
        line->deadline_ns += worth_ns(bytes);
    pthread_mutex_unlock(&lines->lock);
}

void lines_at_ease(struct lines *lines, struct line *line)
{
    pthread_mutex_lock(&lines->lock);
    line->deadline_ns = 0;
    pthread_mutex_unlock(&lines->lock);
}

bool lines_stream(struct lines *lines, struct line *line)
{
    int all = 0, own = 0;
    pthread_mutex_lock(&lines->lock);
    for (const struct line *one = lines->first; one != NULL; one = one->next) {
        all += one->stream;
        own += one->stream && strcmp(one->from, line->from) == 0;
    }
    line->stream = all < LINES_STREAMS && own < LINES_STREAMS_FROM;
    bool taken = line->stream;
    pthread_mutex_unlock(&lines->lock);
    return taken;
}
