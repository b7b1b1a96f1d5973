/* A driver under test, set up by lines of a rig file, and the far sides that a test plays itself. */
#ifndef RUNDOWN_TESTS_DRIVEN_H
#define RUNDOWN_TESTS_DRIVEN_H

#include "instrument/driver.h"
#include "intake/rig_links.h"
#include "peer.h"

#include <pthread.h>
#include <stdarg.h>

struct driven {
    struct clock_paced pace;
    struct clock clock;
    struct links links;
    const struct link *link;
    const struct driver *driver;
    void *state;
    char identity[128];
    struct arrival arrival;
    struct message message;
};

static inline void driven_end(struct driven *d)
{
    if (d->state != NULL) {
        d->driver->disconnect(d->state);
        d->driver->free(d->state);
    }
    links_free(&d->links);
    d->state = NULL;
}

/* `lines` stand below `[meter]` and may hold one %d, the port. */
__attribute__((format(printf, 3, 4))) static inline enum status driven_prepare(struct driven *d, double rate,
                                                                               const char *lines, ...)
{
    char text[1024];
    int n = snprintf(text, sizeof text, "[meter]\n");
    va_list list;
    va_start(list, lines);
    vsnprintf(text + n, sizeof text - (size_t)n, lines, list);
    va_end(list);
    *d = (struct driven){0};
    d->clock = clock_at_rate(&d->pace, rate);
    if (rig_links_read_text("hut.rig", span_of(text), &d->links, &d->message) != STATUS_OK)
        return STATUS_USAGE;
    d->link = &d->links.items[0];
    d->driver = driver_find(drivers, d->link->driver);
    return d->driver->prepare(d->link, &d->clock, &d->state, &d->message);
}

static inline enum status driven_connect(struct driven *d)
{
    d->message = (struct message){0};
    return d->driver->connect(d->state, d->identity, &d->message);
}

/* What is heard next, nothing passed over for at most `seconds` of the clock. */
static inline enum heard driven_hear(struct driven *d, double seconds)
{
    int64_t until = d->clock.now_ns(d->clock.context) + (int64_t)(seconds * 1e9);
    enum heard heard;
    do {
        d->arrival = (struct arrival){0};
        d->message = (struct message){0};
        heard = d->driver->hear(d->state, d->link->timeout_s / 8, &d->arrival, &d->message);
    } while (heard == HEARD_NOTHING && d->clock.now_ns(d->clock.context) < until);
    return heard;
}

/* The cells of the arrival joined by blanks, `.` for a missing one. Static buffer. */
static inline const char *driven_cells(const struct driven *d)
{
    static char text[200];
    char digits[DECIMAL_TEXT];
    size_t n = 0;
    text[0] = '\0';
    for (int k = 0; k < d->link->channel_count; k++) {
        decimal_print(d->arrival.cells[k], digits);
        n += (size_t)snprintf(text + n, sizeof text - n, "%s%s", k > 0 ? " " : "",
                              d->arrival.cells[k].kind == DECIMAL_MISSING ? "." : digits);
    }
    return text;
}

/* A listening socket whose connections, one after another, are played by `play`. */
struct far_side {
    int listening, port, connections;
    void (*play)(int fd, int nth);
    pthread_t thread;
};

static inline void *far_side_run(void *argument)
{
    struct far_side *far = argument;
    for (int k = 0; k < far->connections; k++) {
        int fd = accept(far->listening, NULL, NULL);
        if (fd < 0)
            break;
        far->play(fd, k);
        close(fd);
    }
    return NULL;
}

static inline void far_side_start(struct far_side *far, void (*play)(int fd, int nth), int connections)
{
    *far = (struct far_side){.connections = connections, .play = play};
    far->listening = peer_listen(&far->port);
    if (pthread_create(&far->thread, NULL, far_side_run, far) != 0)
        abort();
}

static inline void far_side_end(struct far_side *far)
{
    shutdown(far->listening, SHUT_RDWR);
    pthread_join(far->thread, NULL);
    close(far->listening);
}

static inline void say(int fd, const char *text)
{
    if (write(fd, text, strlen(text)) < 0)
        return;
}

/* The next line that the driver sends, without its end; false when it hangs up. */
static inline bool listen_to(int fd, char *line, size_t size)
{
    size_t n = 0;
    while (n + 1 < size && read(fd, line + n, 1) == 1) {
        if (line[n] == '\n') {
            line[n] = '\0';
            return true;
        }
        n++;
    }
    return false;
}

#endif
