#include "instrument/modbus.h"

#include "base/memory.h"
#include "instrument/address.h"
#include "instrument/modbus_map.h"

#include <errno.h>
#include <modbus/modbus.h>
#include <sys/file.h>

enum { ITEMS = LINK_CHANNELS + 1 /* and the instrument's own time */ };

struct modbus_meter {
    const struct link *link;
    const struct clock *clock;
    struct address address;
    int unit;
    struct modbus_item items[ITEMS];
    struct modbus_block blocks[ITEMS];
    size_t item_count, block_count, block_of[ITEMS];
    modbus_t *line;
    int64_t due_ns;
    uint16_t registers[ITEMS][MODBUS_MOST]; /* by block */
    bool answered[ITEMS];
    struct message refused; /* what a block was refused with while others answered; STATUS_OK: nothing */
};

static void modbus_disconnect(void *state)
{
    struct modbus_meter *meter = state;
    if (meter->line != NULL) {
        modbus_close(meter->line);
        modbus_free(meter->line);
    }
    meter->line = NULL;
}

static void modbus_end(void *state)
{
    if (state != NULL)
        modbus_disconnect(state);
    free(state);
}

/* Those that libmodbus sets; at any other it would quietly take 9600. */
static bool baud_known(int baud)
{
    static const int known[] = {1200, 2400, 4800, 9600, 19200, 38400, 57600, 115200, 230400, 460800, 921600};
    for (size_t k = 0; k < sizeof known / sizeof *known; k++)
        if (known[k] == baud)
            return true;
    return false;
}

static enum status read_unit(struct modbus_meter *meter, struct message *message)
{
    const struct link_setting *setting = link_setting(meter->link, "unit id", NULL);
    char *end = NULL;
    bool serial = meter->address.kind == ADDRESS_SERIAL;
    long unit = setting != NULL ? strtol(setting->value, &end, 10) : 1;
    meter->unit = (int)unit;
    if (setting == NULL || (end != setting->value && *end == '\0' && unit >= serial && unit <= 255 &&
                            (unit <= 247 || (unit == 255 && !serial))))
        return STATUS_OK;
    link_fault(meter->link, setting, NULL, message, "'%s' is no unit id", setting->value);
    return status_remedy(message, serial ? "a serial instrument has one from 1 to 247"
                                         : "give one from 0 to 247, or 255 for an instrument that has none");
}

static enum status read_sources(struct modbus_meter *meter, struct message *message)
{
    const struct link *link = meter->link;
    enum status status = STATUS_OK;
    for (int k = 0; status == STATUS_OK && k < link->channel_count; k++)
        status = modbus_item_read(link, &link->channels[k], &meter->items[meter->item_count++], message);
    if (status == STATUS_OK && link->own_time)
        status = modbus_item_read(link, &link->time_source, &meter->items[meter->item_count++], message);
    if (status == STATUS_OK && link->channel_count == 0) {
        link_fault(link, NULL, NULL, message, "[%s] delivers no channel", link->name);
        status = status_remedy(message, "add a line such as `voltage from = input 0 u16 times 0.01`");
    }
    if (status == STATUS_OK && !(link->period_s > 0)) {
        link_fault(link, NULL, NULL, message, "[%s] speaks when asked only, and has no period", link->name);
        status = status_remedy(message, "add `period = 1 s`");
    }
    return status;
}

static enum status modbus_prepare(const struct link *link, const struct clock *clock, void **ret_state,
                                  struct message *message)
{
    struct modbus_meter *meter = memory_get(sizeof *meter);
    meter->link = link;
    meter->clock = clock;
    enum status status =
        address_read(link, 1U << ADDRESS_TCP | 1U << ADDRESS_SERIAL, 502, &meter->address, message);
    if (status == STATUS_OK && meter->address.kind == ADDRESS_SERIAL &&
        (!baud_known(meter->address.baud) || meter->address.data_bits != 8)) {
        link_fault(link, NULL, NULL, message, "'%s' is no line that Modbus RTU runs on", link->address);
        status =
            status_remedy(message, "it takes 8 data bits and one of the usual rates: 1200, 2400, 4800, 9600, "
                                   "19200, 38400, 57600, 115200, 230400, 460800 or 921600 baud");
    }
    if (status == STATUS_OK)
        status = read_unit(meter, message);
    if (status == STATUS_OK)
        status = read_sources(meter, message);
    if (status != STATUS_OK) {
        modbus_end(meter);
        return status;
    }
    meter->block_count = modbus_plan(meter->items, meter->item_count, meter->blocks, meter->block_of);
    *ret_state = meter;
    return STATUS_OK;
}

static void set_timeout(const struct modbus_meter *meter)
{
    double seconds = meter->link->timeout_s / meter->clock->rate;
    uint32_t microseconds = (uint32_t)fmin(fmax(seconds * 1e6, 1), 3.6e9);
    modbus_set_response_timeout(meter->line, microseconds / 1000000, microseconds % 1000000);
}

/* Several units on one serial line take turns, each on a thread, or in a program, of its own. */
static void take_turn(const struct modbus_meter *meter, bool mine)
{
    if (meter->address.kind == ADDRESS_SERIAL)
        while (flock(modbus_get_socket(meter->line), mine ? LOCK_EX : LOCK_UN) != 0 && errno == EINTR)
            ;
}

static enum status modbus_begin(void *state, char *ret_identity, struct message *message)
{
    struct modbus_meter *meter = state;
    const struct address *at = &meter->address;
    char port[8];
    snprintf(port, sizeof port, "%d", at->port);
    modbus_disconnect(meter);
    if (at->kind == ADDRESS_TCP)
        meter->line = modbus_new_tcp_pi(at->where, port);
    else
        meter->line = modbus_new_rtu(at->where, at->baud, at->parity, at->data_bits, at->stop_bits);
    if (meter->line != NULL) {
        modbus_set_slave(meter->line, meter->unit);
        set_timeout(meter);
    }
    if (meter->line == NULL || modbus_connect(meter->line) != 0) {
        status_fail(message, STATUS_UNREADABLE, "cannot reach %s: %s", meter->link->address,
                    errno == EINPROGRESS ? "no answer in time" : modbus_strerror(errno));
        modbus_disconnect(meter);
        return status_remedy(
            message, at->kind == ADDRESS_TCP
                         ? "is it switched on, on this network, and is the port right (502 is usual)?"
                         : "is it plugged in, is no other program using it, and may you open it (group "
                           "dialout)? `rundown instruments list` shows what is there");
    }
    take_turn(meter, true);
    modbus_flush(meter->line);
    take_turn(meter, false);
    meter->due_ns = meter->clock->now_ns(meter->clock->context);
    meter->refused.status = STATUS_OK;
    ret_identity[0] = '\0';
    return STATUS_OK;
}

/* Frames are parted by 3.5 characters of 11 bits, from 19200 baud on by 1.75 ms (MODBUS over Serial Line V1.02,
 * 2.5.1.1); of the machine's time, whatever the clock's rate. */
static void part_frames(const struct modbus_meter *meter)
{
    if (meter->address.kind != ADDRESS_SERIAL)
        return;
    double seconds = meter->address.baud > 19200 ? 1.75e-3 : 3.5 * 11 / meter->address.baud;
    struct timespec pause = {0, (long)ceil(seconds * 1e9)};
    nanosleep(&pause, NULL);
}

/* A request came to nothing: whether the connection still stands, and why. */
static enum heard judge(struct modbus_meter *meter, const struct modbus_block *block, int error,
                        struct message *message)
{
    bool tcp = meter->address.kind == ADDRESS_TCP;
    const char *table = block->function == MODBUS_INPUT ? "input" : "holding";
    if (error == ETIMEDOUT) {
        status_fail(message, STATUS_UNREADABLE, "no answer within %g s from unit %d at %s",
                    meter->link->timeout_s, meter->unit, meter->link->address);
        status_remedy(
            message,
            tcp ? "is it switched on, and is `unit id` right?"
                : "is it switched on, are `unit id`, baud rate and parity right, A and B not swapped?");
        return HEARD_LOST;
    }
    if (error >= EMBXILFUN && error <= EMBXGTAR) {
        status_fail(message, STATUS_UNREADABLE, "it refuses %s %d, %d register%s: %s (exception %d)", table,
                    block->first, block->count, block->count > 1 ? "s" : "", modbus_strerror(error),
                    error - MODBUS_ENOBASE);
        status_remedy(message,
                      error == EMBXILADD ? "addresses count from 0: what a manual calls 30019 is `input 18`, "
                                           "40019 is `holding 18`"
                      : error >= EMBXGPATH ? "the gateway does not reach this unit: is `unit id` right?"
                                           : "does its manual keep these in the other table?");
        return HEARD_GARBAGE;
    }
    bool framed = error < EMBBADCRC || error > EMBBADSLAVE;
    status_fail(message, STATUS_UNREADABLE, "%s: %s", meter->link->address, modbus_strerror(error));
    if (framed)
        return HEARD_LOST;
    /* On a serial line silence parts the frames, so the next is whole again. In a stream nothing does. */
    status_remedy(message, tcp ? "is it Modbus that is spoken there?"
                               : "is the line terminated, shielded and short enough?");
    modbus_flush(meter->line);
    return tcp ? HEARD_LOST : HEARD_GARBAGE;
}

static void fill(const struct modbus_meter *meter, struct arrival *arrival)
{
    const struct link *link = meter->link;
    for (size_t k = 0; k < meter->item_count; k++) {
        size_t b = meter->block_of[k];
        char odd[24] = "";
        const struct modbus_item *item = &meter->items[k];
        struct decimal value = {.kind = DECIMAL_MISSING};
        if (meter->answered[b])
            value = modbus_value(item, &meter->registers[b][item->address - meter->blocks[b].first], odd);
        if (arrival->odd[0] == '\0')
            span_copy(span_of(odd), arrival->odd, sizeof arrival->odd);
        *((int)k < link->channel_count ? &arrival->cells[k] : &arrival->time) = value;
    }
}

/* Every block once. HEARD_LOST ends it; HEARD_GARBAGE when none was answered. */
static enum heard ask_all(struct modbus_meter *meter)
{
    enum heard heard = HEARD_GARBAGE;
    for (size_t b = 0; b < meter->block_count; b++) {
        const struct modbus_block *block = &meter->blocks[b];
        int (*ask)(modbus_t *, int, int, uint16_t *) =
            block->function == MODBUS_INPUT ? modbus_read_input_registers : modbus_read_registers;
        part_frames(meter);
        meter->answered[b] =
            ask(meter->line, block->first, block->count, meter->registers[b]) == block->count;
        if (meter->answered[b])
            heard = HEARD_READING;
        else if (judge(meter, block, errno, &meter->refused) == HEARD_LOST)
            return HEARD_LOST;
    }
    return heard;
}

static enum heard poll_once(struct modbus_meter *meter, struct arrival *ret_arrival, struct message *message)
{
    const struct clock *clock = meter->clock;
    take_turn(meter, true);
    int64_t before = clock->now_ns(clock->context);
    enum heard heard = ask_all(meter);
    int64_t after = clock->now_ns(clock->context);
    take_turn(meter, false);
    if (heard != HEARD_READING) {
        *message = meter->refused;
        meter->refused.status = STATUS_OK;
        return heard;
    }
    struct arrival arrival = {.at_ns = before + (after - before) / 2, .within_ns = (after - before + 1) / 2};
    fill(meter, &arrival);
    *ret_arrival = arrival;
    return HEARD_READING;
}

static enum heard modbus_hear(void *state, double timeout_s, struct arrival *ret_arrival,
                              struct message *message)
{
    struct modbus_meter *meter = state;
    const struct clock *clock = meter->clock;
    if (meter->refused.status != STATUS_OK) {
        *message = meter->refused;
        meter->refused.status = STATUS_OK;
        return HEARD_GARBAGE;
    }
    int64_t now = clock->now_ns(clock->context), until = now + llround(timeout_s * 1e9);
    if (now < meter->due_ns) {
        clock->wait_ns(clock->context, meter->due_ns < until ? meter->due_ns : until);
        now = clock->now_ns(clock->context);
    }
    if (now < meter->due_ns)
        return HEARD_NOTHING;
    int64_t period = llround(meter->link->period_s * 1e9);
    meter->due_ns +=
        ((now - meter->due_ns) / period + 1) * period; /* on its grid; what was missed is left out */
    return poll_once(meter, ret_arrival, message);
}

const struct driver modbus_driver = {
    "modbus",       "registers of Modbus instruments, serial (RTU) or TCP",
    modbus_prepare, modbus_begin,
    modbus_hear,    modbus_disconnect,
    modbus_end,
};
