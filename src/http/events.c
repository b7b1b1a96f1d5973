#include "http/events.h"

#include "base/memory.h"

#include <inttypes.h>
#include <pthread.h>
#include <time.h>

/* A batch for one reader: what more is due waits for the next call, so that no reader holds the lock for long. */
enum { BATCH = 1 << 16 };

struct event {
    const char *topic;
    char *data; /* one line */
};

struct events {
    pthread_mutex_t lock;
    pthread_cond_t news;
    struct event *ring; /* number n stands at n % room */
    size_t room;
    uint64_t next;      /* number of the next to come; the first is 1 */
    uint64_t epoch;
    bool closed;
};

struct events *events_new(size_t room, uint64_t epoch)
{
    struct events *events = memory_get(sizeof *events);
    pthread_condattr_t steady;
    pthread_condattr_init(&steady);
    pthread_condattr_setclock(&steady, CLOCK_MONOTONIC);
    pthread_mutex_init(&events->lock, NULL);
    pthread_cond_init(&events->news, &steady);
    pthread_condattr_destroy(&steady);
    events->ring = memory_get(room * sizeof *events->ring);
    events->room = room;
    events->next = 1;
    events->epoch = epoch;
    return events;
}

void events_free(struct events *events)
{
    if (events == NULL)
        return;
    for (size_t k = 0; k < events->room; k++)
        free(events->ring[k].data);
    free(events->ring);
    pthread_cond_destroy(&events->news);
    pthread_mutex_destroy(&events->lock);
    free(events);
}

void events_publish(struct events *events, const char *topic, struct span data)
{
    char *line = memory_get(data.n + 1), *old;
    memcpy(line, data.p, data.n);
    for (char *p = line; p < line + data.n; p++) /* a line feed would end the field */
        if (*p == '\n' || *p == '\r' || *p == '\0')
            *p = ' ';
    pthread_mutex_lock(&events->lock);
    struct event *place = &events->ring[events->next++ % events->room];
    old = place->data;
    *place = (struct event){topic, line};
    pthread_cond_broadcast(&events->news);
    pthread_mutex_unlock(&events->lock);
    free(old);
}

void events_close(struct events *events)
{
    pthread_mutex_lock(&events->lock);
    events->closed = true;
    pthread_cond_broadcast(&events->news);
    pthread_mutex_unlock(&events->lock);
}

static uint64_t oldest(const struct events *events)
{
    return events->next > events->room ? events->next - events->room : 1;
}

/* "EPOCH-NUMBER", the first in sixteen hexadecimal digits. */
static bool read_id(const char *text, uint64_t *ret_epoch, uint64_t *ret_number)
{
    char *end = NULL;
    if (strspn(text, "0123456789abcdef") != 16 || text[16] != '-' || text[17] < '0' || text[17] > '9' ||
        strlen(text) > 17 + 19)
        return false;
    *ret_epoch = strtoull(text, NULL, 16);
    *ret_number = strtoull(text + 17, &end, 10);
    return *end == '\0';
}

void events_enter(struct events *events, const char *topics, const char *last_id, struct events_place *ret_place)
{
    uint64_t epoch = 0, number = 0;
    struct events_place place = {0};
    snprintf(place.topics, sizeof place.topics, "%s", topics != NULL ? topics : "");
    pthread_mutex_lock(&events->lock);
    place.next = events->next;
    if (last_id[0] != '\0') {
        bool follows = read_id(last_id, &epoch, &number) && epoch == events->epoch && number < events->next &&
                       number + 1 >= oldest(events);
        place.reload = !follows;
        if (follows)
            place.next = number + 1;
    }
    pthread_mutex_unlock(&events->lock);
    *ret_place = place;
}

static bool wanted(const struct events_place *place, const char *topic)
{
    size_t n = strlen(topic);
    if (place->topics[0] == '\0')
        return true;
    for (const char *p = place->topics; *p != '\0';) {
        size_t word = strcspn(p, ",");
        if (word == n && memcmp(p, topic, n) == 0)
            return true;
        p += word + (p[word] == ',');
    }
    return false;
}

/* Under the lock. */
static void add_due(struct events *events, struct events_place *place, struct text *wire)
{
    size_t before = wire->length;
    if (place->next < oldest(events)) { /* the ring went round under a slow reader */
        place->reload = true;
        place->next = events->next;
    }
    if (place->reload)
        text_addf(wire, "event: reload\nid: %016" PRIx64 "-%" PRIu64 "\ndata: {}\n\n", events->epoch, place->next - 1);
    place->reload = false;
    for (; place->next < events->next && wire->length - before < BATCH; place->next++) {
        const struct event *event = &events->ring[place->next % events->room];
        if (wanted(place, event->topic))
            text_addf(wire, "event: %s\nid: %016" PRIx64 "-%" PRIu64 "\ndata: %s\n\n", event->topic, events->epoch,
                      place->next, event->data);
    }
}

bool events_next(struct events *events, struct events_place *place, int wait_ms, struct text *wire)
{
    size_t before = wire->length;
    struct timespec until;
    clock_gettime(CLOCK_MONOTONIC, &until);
    int64_t ns = until.tv_nsec + (int64_t)wait_ms * 1000000;
    until.tv_sec += ns / 1000000000;
    until.tv_nsec = ns % 1000000000;
    pthread_mutex_lock(&events->lock);
    for (int waited = 0; !events->closed && wire->length == before;) {
        add_due(events, place, wire);
        if (wire->length > before || waited != 0)
            break;
        if (place->next == events->next)
            waited = pthread_cond_timedwait(&events->news, &events->lock, &until);
    }
    bool open = !events->closed;
    pthread_mutex_unlock(&events->lock);
    return open;
}

void events_here(struct events *events, const struct events_place *place, struct text *wire)
{
    text_addf(wire, "event: here\nid: %016" PRIx64 "-%" PRIu64 "\ndata: {}\n\n", events->epoch, place->next - 1);
}
