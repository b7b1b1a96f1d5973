#include "instrument/probe.h"

#include "base/memory.h"

#include <pthread.h>

static const double patience_s = 0.25; /* of the machine: how often the end is looked for */

struct listener {
    struct probe *probe;
    const struct driver *driver;
    const struct clock *clock;
    const struct probe_watch *watch;
    void *state;
    double seconds;
    double before[LINK_CHANNELS],
        squares[LINK_CHANNELS]; /* the value before, the sum of squared differences */
    pthread_t thread;
    bool running;
};

static void take_cell(struct listener *listener, int k, struct decimal cell)
{
    struct probe_channel *channel = &listener->probe->channels[k];
    const struct unit *unit = &listener->probe->link->channels[k].unit;
    channel->overloads += cell.kind == DECIMAL_OVERLOAD;
    if (cell.kind != DECIMAL_NUMBER && cell.kind != DECIMAL_NEGATIVE_ZERO)
        return;
    double value = unit_own(decimal_value(cell), unit);
    double digit = pow(10, -cell.decimals) * fabs(unit->factor);
    if (channel->count > 0)
        listener->squares[k] += (value - listener->before[k]) * (value - listener->before[k]);
    listener->before[k] = channel->value = value;
    channel->digit = fmin(channel->digit, digit);
    channel->count++;
    if (channel->count >= 3)
        channel->noise = sqrt(listener->squares[k] / (2 * (double)(channel->count - 1)));
}

static bool hear_once(struct listener *listener, double left_s)
{
    struct probe *probe = listener->probe;
    struct arrival arrival = {0};
    struct message message = {0};
    double timeout_s = fmin(left_s, patience_s * listener->clock->rate);
    switch (listener->driver->hear(listener->state, timeout_s, &arrival, &message)) {
    case HEARD_NOTHING: return true;
    case HEARD_READING:
        probe->readings++;
        for (int k = 0; k < probe->link->channel_count; k++)
            take_cell(listener, k, arrival.cells[k]);
        return true;
    case HEARD_GARBAGE:
        probe->garbage++;
        probe->fault = message;
        return true;
    case HEARD_LOST: probe->fault = message; return false;
    case HEARD_END: return false;
    }
    return false;
}

/* Tells how far it is; true when it is to go on. */
static bool go_on(const struct listener *listener, double left_s)
{
    const struct probe_watch *watch = listener->watch;
    if (watch == NULL)
        return true;
    if (watch->progress != NULL)
        watch->progress(watch->context, 1 - left_s / listener->seconds);
    return watch->stopped == NULL || !watch->stopped(watch->context);
}

static void *listen(void *context)
{
    struct listener *listener = context;
    struct probe *probe = listener->probe;
    const struct clock *clock = listener->clock;
    if (listener->driver->connect(listener->state, probe->identity, &probe->fault) != STATUS_OK)
        return NULL;
    probe->fault.status = STATUS_OK;
    int64_t until = clock->now_ns(clock->context) + llround(listener->seconds * 1e9), left;
    while ((left = until - clock->now_ns(clock->context)) > 0 && go_on(listener, (double)left * 1e-9) &&
           hear_once(listener, (double)left * 1e-9))
        ;
    listener->driver->disconnect(listener->state);
    if (probe->readings == 0 && probe->fault.status == STATUS_OK && probe->link->channel_count > 0) {
        status_fail(&probe->fault, STATUS_UNREADABLE, "[%s] was reached and said nothing in %g s",
                    probe->link->name, listener->seconds / clock->rate);
        status_remedy(&probe->fault,
                      "is it measuring and sending, and do the sources in the rig file name what it sends? "
                      "Listen longer with --seconds when it speaks seldom");
    }
    return NULL;
}

static enum status prepare(struct listener *listener, const struct driver *const *among,
                           struct message *message)
{
    struct probe *probe = listener->probe;
    listener->driver = driver_find(among, probe->link->driver);
    if (listener->driver != NULL)
        return listener->driver->prepare(probe->link, listener->clock, &listener->state, message);
    status_fail(&probe->fault, STATUS_USAGE, "[%s] is no instrument (driver %s): there is nothing to try",
                probe->link->name, probe->link->driver);
    return STATUS_OK;
}

enum status probe_all(const struct links *links, const struct driver *const *among, const struct clock *clock,
                      double seconds, const struct probe_watch *watch, struct probe *ret_probes,
                      struct message *message)
{
    struct listener *listeners = memory_get((links->count + 1) * sizeof *listeners);
    enum status status = STATUS_OK;
    for (size_t k = 0; k < links->count && status == STATUS_OK; k++) {
        ret_probes[k] = (struct probe){.link = &links->items[k]};
        for (int c = 0; c < LINK_CHANNELS; c++)
            ret_probes[k].channels[c] = (struct probe_channel){.value = NAN, .digit = NAN, .noise = NAN};
        listeners[k] = (struct listener){.probe = &ret_probes[k], .clock = clock, .watch = watch, .seconds = seconds};
        status = prepare(&listeners[k], among, message);
    }
    for (size_t k = 0; k < links->count && status == STATUS_OK; k++) {
        if (listeners[k].driver == NULL)
            continue;
        int error = pthread_create(&listeners[k].thread, NULL, listen, &listeners[k]);
        listeners[k].running = error == 0;
        if (error != 0)
            status_fail(&ret_probes[k].fault, STATUS_LIMIT, "no thread for [%s]: %s", links->items[k].name,
                        strerror(error));
    }
    for (size_t k = 0; k < links->count; k++) {
        if (listeners[k].running)
            pthread_join(listeners[k].thread, NULL);
        if (listeners[k].driver != NULL && listeners[k].state != NULL)
            listeners[k].driver->free(listeners[k].state);
    }
    free(listeners);
    return status;
}
