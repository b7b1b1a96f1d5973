/* None: an instrument that nobody but a person reads. Its link stands in the rig file so that its accuracy has
 * a place; nothing is opened and nothing is ever heard. */
#include "instrument/drivers.h"

#include "base/memory.h"

struct none {
    const struct clock *clock;
};

static enum status prepare(const struct link *link, const struct clock *clock, void **ret_state,
                           struct message *message)
{
    if (link->channel_count > 0 || link->own_time) {
        link_fault(link, NULL, link->channel_count > 0 ? &link->channels[0] : &link->time_source, message,
                   "nothing comes from [%s], whose driver is `none`", link->name);
        return status_remedy(message, "take the line away, or name the driver that reads it");
    }
    struct none *none = memory_get(sizeof *none);
    none->clock = clock;
    *ret_state = none;
    return STATUS_OK;
}

static enum status connect_none(void *state, char *ret_identity, struct message *message)
{
    ret_identity[0] = '\0';
    return STATUS_OK;
}

static enum heard hear(void *state, double timeout_s, struct arrival *ret_arrival, struct message *message)
{
    const struct clock *clock = ((struct none *)state)->clock;
    clock->wait_ns(clock->context, clock->now_ns(clock->context) + (int64_t)(timeout_s * 1e9));
    return HEARD_NOTHING;
}

static void disconnect(void *state)
{
}

const struct driver none_driver = {
    "none", "hand readings only: nothing is connected", prepare, connect_none, hear, disconnect, free,
};
