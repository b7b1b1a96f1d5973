#include "http/serving.h"

#include "base/memory.h"
#include "http/addresses.h"
#include "http/exchange.h"

#include <unistd.h>

enum { CONNECTIONS = 256, CONNECTIONS_FROM = 96, HEAD_MEMORY = 1 << 15 };

/* The target is taken apart by target.h, from what stood on the line. */
static size_t leave_encoded(void *context, struct MHD_Connection *connection, char *text)
{
    return strlen(text);
}

static void on_line(void *context, struct MHD_Connection *connection, void **socket_context,
                    enum MHD_ConnectionNotificationCode what)
{
    struct http_server *server = context;
    if (what == MHD_CONNECTION_NOTIFY_CLOSED) {
        if (*socket_context != NULL)
            guests_remove(server->guests, *socket_context);
        *socket_context = NULL;
        return;
    }
    const union MHD_ConnectionInfo *fd = MHD_get_connection_info(connection, MHD_CONNECTION_INFO_CONNECTION_FD),
                                   *peer = MHD_get_connection_info(connection, MHD_CONNECTION_INFO_CLIENT_ADDRESS);
    char from[ADDRESS] = "";
    if (fd == NULL || peer == NULL)
        return; /* without a line it is not answered */
    address_print(peer->client_addr, from);
    *socket_context = guests_add(server->guests, fd->connect_fd, from);
}

static bool start(struct http_server *server, int fd)
{
    unsigned flags = MHD_USE_THREAD_PER_CONNECTION | MHD_USE_INTERNAL_POLLING_THREAD | MHD_USE_POLL | MHD_USE_ITC;
    server->daemon = MHD_start_daemon(
        flags, 0, NULL, NULL, exchange_step, server,                      /* */
        MHD_OPTION_LISTEN_SOCKET, fd,                                     /* */
        MHD_OPTION_CONNECTION_LIMIT, (unsigned)CONNECTIONS,               /* */
        MHD_OPTION_PER_IP_CONNECTION_LIMIT, (unsigned)CONNECTIONS_FROM,   /* */
        MHD_OPTION_CONNECTION_MEMORY_LIMIT, (size_t)HEAD_MEMORY,          /* */
        MHD_OPTION_CONNECTION_TIMEOUT, 0U, /* guests.h has the deadlines, which count what is owed, not idleness */
        MHD_OPTION_STRICT_FOR_CLIENT, 1,                                  /* */
        MHD_OPTION_URI_LOG_CALLBACK, exchange_begin, server,              /* */
        MHD_OPTION_UNESCAPE_CALLBACK, leave_encoded, NULL,                /* */
        MHD_OPTION_NOTIFY_CONNECTION, on_line, server,                    /* */
        MHD_OPTION_NOTIFY_COMPLETED, exchange_end, server, MHD_OPTION_END);
    return server->daemon != NULL;
}

enum status http_open(const struct http_setup *setup, struct http_server **ret_server, struct message *message)
{
    int fd = -1, port = 0;
    enum status status = address_listen(setup->share, setup->port, &fd, &port, message);
    if (status != STATUS_OK)
        return status;
    struct http_server *server = memory_get(sizeof *server);
    server->setup = *setup;
    server->port = port;
    if (setup->share && gethostname(server->machine, sizeof server->machine - 1) != 0)
        server->machine[0] = '\0';
    server->guests = guests_new(setup->patience_ms > 0 ? setup->patience_ms : GUESTS_PATIENCE_MS);
    if (server->guests == NULL || !start(server, fd)) {
        guests_free(server->guests);
        free(server);
        close(fd);
        return status_fail(message, STATUS_LIMIT, "no server can be started: memory or threads are out");
    }
    *ret_server = server;
    return STATUS_OK;
}

int http_port(const struct http_server *server)
{
    return server->port;
}

size_t http_addresses(const struct http_server *server, char (*ret_addresses)[ADDRESS], size_t room)
{
    return server->setup.share ? address_list(ret_addresses, room) : 0;
}

void http_close(struct http_server *server)
{
    if (server == NULL)
        return;
    events_close(server->setup.events);
    MHD_stop_daemon(server->daemon); /* closes the listening socket too */
    guests_free(server->guests);
    free(server);
}
