#include "instrument/scpi_device.h"
#include "instrument/server.h"

#include "base/memory.h"

#include <errno.h>
#include <poll.h>
#include <pthread.h>
#include <sys/eventfd.h>
#include <sys/socket.h>
#include <unistd.h>

enum { CLIENTS = 8, INPUT = 1024 };

struct client {
    int fd; /* -1: none */
    size_t length;
    bool overrun; /* until the end of the line */
    char input[INPUT];
};

struct scpi_server {
    struct server server; /* first */
    struct serve_view view;
    struct scpi_device device;
    struct client clients[CLIENTS];
    int listening, bell;
    pthread_t thread;
};

static void hang_up(struct client *client)
{
    close(client->fd);
    *client = (struct client){.fd = -1};
}

static void let_in(struct scpi_server *server)
{
    int fd = accept4(server->listening, NULL, NULL, SOCK_NONBLOCK | SOCK_CLOEXEC);
    for (size_t k = 0; k < CLIENTS && fd >= 0; k++)
        if (server->clients[k].fd < 0) {
            server->clients[k].fd = fd;
            return;
        }
    if (fd >= 0)
        close(fd);
}

/* Obeys the whole lines of what has come. */
static void obey_lines(struct scpi_server *server, struct client *client, struct text *answer)
{
    char *end;
    while ((end = memchr(client->input, '\n', client->length)) != NULL) {
        size_t n = (size_t)(end - client->input);
        if (!client->overrun)
            scpi_device_obey(&server->device, (struct span){client->input, n}, answer);
        client->overrun = false;
        client->length -= n + 1;
        memmove(client->input, end + 1, client->length);
    }
    if (client->length == INPUT) {
        if (!client->overrun)
            scpi_device_fault(&server->device, -363);
        client->overrun = true;
        client->length = 0;
    }
}

static void attend(struct scpi_server *server, struct client *client)
{
    ssize_t count = recv(client->fd, client->input + client->length, INPUT - client->length, 0);
    if (count < 0 && (errno == EAGAIN || errno == EINTR))
        return;
    if (count <= 0) {
        hang_up(client);
        return;
    }
    struct text answer = TEXT_EMPTY;
    client->length += (size_t)count;
    obey_lines(server, client, &answer);
    /* A client that does not read its answers is not waited for. */
    if (answer.length > 0 &&
        send(client->fd, answer.s, answer.length, MSG_NOSIGNAL | MSG_DONTWAIT) != (ssize_t)answer.length)
        hang_up(client);
    text_free(&answer);
}

static void *serve(void *argument)
{
    struct scpi_server *server = argument;
    for (;;) {
        struct pollfd all[CLIENTS + 2] = {{.fd = server->bell, .events = POLLIN},
                                          {.fd = server->listening, .events = POLLIN}};
        for (size_t k = 0; k < CLIENTS; k++)
            all[k + 2] = (struct pollfd){.fd = server->clients[k].fd, .events = POLLIN};
        if (poll(all, CLIENTS + 2, -1) < 0)
            continue;
        if (all[0].revents != 0)
            return NULL;
        for (size_t k = 0; k < CLIENTS; k++)
            if (all[k + 2].revents != 0)
                attend(server, &server->clients[k]);
        if (all[1].revents != 0)
            let_in(server);
    }
}

static void let_go(struct scpi_server *server)
{
    for (size_t k = 0; k < CLIENTS; k++)
        if (server->clients[k].fd >= 0)
            close(server->clients[k].fd);
    if (server->listening >= 0)
        close(server->listening);
    if (server->bell >= 0)
        close(server->bell);
    free(server);
}

static void stop(struct server *base)
{
    struct scpi_server *server = (struct scpi_server *)base;
    uint64_t once = 1;
    while (write(server->bell, &once, sizeof once) < 0 && errno == EINTR)
        ;
    pthread_join(server->thread, NULL);
    let_go(server);
}

enum status serve_scpi(const struct serve_view *view, int port, struct server **ret_server, int *ret_port,
                       struct message *message)
{
    struct scpi_server *server = memory_get(sizeof *server);
    server->server.stop = stop;
    server->view = *view;
    server->listening = -1;
    for (size_t k = 0; k < CLIENTS; k++)
        server->clients[k].fd = -1;
    scpi_device_power_on(&server->device, &server->view);
    server->bell = eventfd(0, EFD_CLOEXEC);
    enum status status = server->bell < 0
                             ? status_fail(message, STATUS_LIMIT, "no more files: %s", strerror(errno))
                             : server_listen(port, &server->listening, ret_port, message);
    int error = status == STATUS_OK ? pthread_create(&server->thread, NULL, serve, server) : 0;
    if (error != 0)
        status = status_fail(message, STATUS_LIMIT, "no thread for a server: %s", strerror(error));
    if (status != STATUS_OK) {
        let_go(server);
        return status;
    }
    *ret_server = &server->server;
    return STATUS_OK;
}
