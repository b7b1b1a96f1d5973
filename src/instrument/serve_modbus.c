#include "instrument/server.h"

#include "base/memory.h"

#include <errno.h>
#include <modbus/modbus.h>
#include <poll.h>
#include <pthread.h>
#include <sys/eventfd.h>
#include <sys/socket.h>
#include <unistd.h>

/* The map, in docs/instruments.md's words; the two tables show the same. The time stands right before the channels,
 * since only registers that are read in one request are of one instant. */
enum {
    ELAPSED = 0, /* u32, milliseconds */
    WHOLE = 2,   /* i32, thousandths, two registers a channel */
    ELAPSED_AGAIN = 2 + 2 * SERVE_CHANNELS,
    FLOATS = ELAPSED_AGAIN + 2,             /* float32 */
    HOW_MANY = FLOATS + 2 * SERVE_CHANNELS, /* u16 */
    REGISTERS = HOW_MANY + 1,
    CLIENTS = 8,
};
static const uint32_t no_value = 0x80000000, too_much = 0x7FFFFFFF;

struct modbus_server {
    struct server server;
    struct serve_view view;
    pthread_t thread;
    int bell; /* eventfd: rung to stop */
    modbus_t *line;
    modbus_mapping_t *map;
    struct pollfd wait[2 + CLIENTS]; /* the bell, the listener, then clients */
    size_t waiting;
};

static void put(modbus_mapping_t *map, int at, uint32_t bits)
{
    map->tab_registers[at] = map->tab_input_registers[at] = (uint16_t)(bits >> 16);
    map->tab_registers[at + 1] = map->tab_input_registers[at + 1] = (uint16_t)bits;
}

static uint32_t whole_bits(struct decimal cell)
{
    if (cell.kind == DECIMAL_MISSING || cell.kind == DECIMAL_ODD)
        return no_value;
    double thousandths = round(decimal_value(cell) * 1000);
    if (cell.kind == DECIMAL_OVERLOAD || !(fabs(thousandths) < too_much))
        return too_much;
    return (uint32_t)(int32_t)thousandths;
}

static uint32_t float_bits(struct decimal cell)
{
    float value = cell.kind == DECIMAL_OVERLOAD ? INFINITY : (float)decimal_value(cell);
    uint32_t bits;
    memcpy(&bits, &value, sizeof bits);
    return bits;
}

static void show(struct modbus_server *server, const struct serve_row *row)
{
    static const struct decimal nothing = {.kind = DECIMAL_MISSING};
    for (int k = 0; k < SERVE_CHANNELS; k++) {
        struct decimal cell = k < server->view.channel_count ? row->cells[k] : nothing;
        put(server->map, WHOLE + 2 * k, whole_bits(cell));
        put(server->map, FLOATS + 2 * k, float_bits(cell));
    }
    uint32_t elapsed_ms = (uint32_t)(uint64_t)fmax(round(row->time_s * 1000), 0);
    put(server->map, ELAPSED, elapsed_ms);
    put(server->map, ELAPSED_AGAIN, elapsed_ms);
    server->map->tab_registers[HOW_MANY] = server->map->tab_input_registers[HOW_MANY] =
        (uint16_t)server->view.channel_count;
}

/* Answers one request; false when the client is gone or talks no Modbus. */
static bool answer(struct modbus_server *server, int fd)
{
    uint8_t request[MODBUS_TCP_MAX_ADU_LENGTH];
    struct serve_row row = {0};
    modbus_set_socket(server->line, fd);
    int size = modbus_receive(server->line, request);
    if (size < 0)
        return false;
    int function = size > 7 ? request[7] : 0;
    if (!server->view.row(server->view.context, &row))
        return true;                    /* dark: no answer comes */
    if (function != 3 && function != 4) /* it can be read, and not be written */
        return modbus_reply_exception(server->line, request, MODBUS_EXCEPTION_ILLEGAL_FUNCTION) >= 0;
    show(server, &row);
    return modbus_reply(server->line, request, size, server->map) >= 0;
}

static void take_client(struct modbus_server *server)
{
    int fd = accept4(server->wait[1].fd, NULL, NULL, SOCK_CLOEXEC);
    if (fd >= 0 && server->waiting == 2 + CLIENTS)
        close(fd);
    else if (fd >= 0)
        server->wait[server->waiting++] = (struct pollfd){.fd = fd, .events = POLLIN};
}

static void *serve(void *context)
{
    struct modbus_server *server = context;
    while (poll(server->wait, server->waiting, -1) >= 0 || errno == EINTR) {
        if (server->wait[0].revents != 0)
            break;
        for (size_t k = server->waiting; k-- > 2;) {
            if (server->wait[k].revents == 0 || answer(server, server->wait[k].fd))
                continue;
            close(server->wait[k].fd);
            server->wait[k] = server->wait[--server->waiting];
        }
        if (server->wait[1].revents != 0)
            take_client(server);
    }
    return NULL;
}

static void stop_modbus(struct server *base)
{
    struct modbus_server *server = (struct modbus_server *)base;
    if (server->thread != 0) {
        eventfd_write(server->bell, 1);
        pthread_join(server->thread, NULL);
    }
    for (size_t k = 0; k < server->waiting; k++)
        if (server->wait[k].fd >= 0)
            close(server->wait[k].fd);
    if (server->line != NULL)
        modbus_free(server->line);
    if (server->map != NULL)
        modbus_mapping_free(server->map);
    free(server);
}

enum status serve_modbus(const struct serve_view *view, int port, struct server **ret_server, int *ret_port,
                         struct message *message)
{
    struct modbus_server *server = memory_get(sizeof *server);
    int listener = -1, taken = 0;
    server->server.stop = stop_modbus;
    server->view = *view;
    server->bell = eventfd(0, EFD_CLOEXEC);
    server->line =
        modbus_new_tcp("127.0.0.1", MODBUS_TCP_DEFAULT_PORT); /* for its frames: the sockets are ours */
    server->map = modbus_mapping_new(0, 0, REGISTERS, REGISTERS);
    enum status status = server_listen(port, &listener, &taken, message);
    server->wait[0] = (struct pollfd){.fd = server->bell, .events = POLLIN};
    server->wait[1] = (struct pollfd){.fd = listener, .events = POLLIN};
    server->waiting = 2;
    int error = 0;
    if (status == STATUS_OK && (server->bell < 0 || server->line == NULL || server->map == NULL))
        error = errno;
    if (status == STATUS_OK && error == 0) {
        modbus_set_byte_timeout(server->line, 0,
                                100000); /* who stops in the middle of a frame holds up the others */
        error = pthread_create(&server->thread, NULL, serve, server);
    }
    if (error != 0)
        status = status_fail(message, STATUS_LIMIT, "a Modbus server cannot start: %s", strerror(error));
    if (status != STATUS_OK) {
        stop_modbus(&server->server);
        return status;
    }
    *ret_server = &server->server;
    *ret_port = taken;
    return STATUS_OK;
}
