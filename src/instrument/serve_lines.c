#include "instrument/server.h"

#include "base/memory.h"
#include "base/text.h"

#include <errno.h>
#include <pthread.h>
#include <stdatomic.h>
#include <sys/socket.h>
#include <unistd.h>

/* `time [s],voltage [V],current [A]`, then a row a reading: `12.000,13.271,-3.05`. A channel without a value is
 * an empty field, an overload `OL`. */

enum { CLIENTS = 8 };

struct lines_server {
    struct server server; /* first */
    struct serve_view view;
    int clients[CLIENTS]; /* -1: none */
    int listening;
    atomic_bool stopping;
    pthread_t thread;
};

/* A client that does not read is let go: a meter does not wait. */
static void tell(int *client, const struct text *line)
{
    if (*client >= 0 &&
        send(*client, line->s, line->length, MSG_NOSIGNAL | MSG_DONTWAIT) != (ssize_t)line->length) {
        close(*client);
        *client = -1;
    }
}

static void let_in(struct lines_server *server)
{
    int fd;
    struct text header = TEXT_EMPTY;
    text_add(&header, "time [s]");
    for (int k = 0; k < server->view.channel_count; k++)
        text_addf(&header, ",%s [%s]", channel_name(server->view.channels[k]),
                  channel_symbol(server->view.channels[k]));
    text_add(&header, "\r\n");
    while ((fd = accept4(server->listening, NULL, NULL, SOCK_NONBLOCK | SOCK_CLOEXEC)) >= 0) {
        size_t k = 0;
        while (k < CLIENTS && server->clients[k] >= 0)
            k++;
        if (k == CLIENTS) {
            close(fd);
            continue;
        }
        server->clients[k] = fd;
        tell(&server->clients[k], &header);
    }
    text_free(&header);
}

static void *serve(void *argument)
{
    struct lines_server *server = argument;
    struct serve_row row;
    bool dark = false;
    while (!server->stopping && server->view.next(server->view.context, &row, &dark)) {
        let_in(server);
        if (dark)
            continue;
        char digits[DECIMAL_TEXT];
        struct text line = TEXT_EMPTY;
        decimal_print(decimal_of(row.time_s, 3), digits);
        text_add(&line, digits);
        for (int k = 0; k < server->view.channel_count; k++) {
            decimal_print(row.cells[k], digits);
            text_addf(&line, ",%s", digits);
        }
        text_add(&line, "\r\n");
        for (size_t k = 0; k < CLIENTS; k++)
            tell(&server->clients[k], &line);
        text_free(&line);
    }
    for (size_t k = 0; k < CLIENTS; k++)
        if (server->clients[k] >= 0)
            close(server->clients[k]);
    return NULL;
}

static void stop(struct server *base)
{
    struct lines_server *server = (struct lines_server *)base;
    server->stopping = true;
    pthread_join(server->thread, NULL);
    close(server->listening);
    free(server);
}

enum status serve_lines(const struct serve_view *view, int port, struct server **ret_server, int *ret_port,
                        struct message *message)
{
    struct lines_server *server = memory_get(sizeof *server);
    server->server.stop = stop;
    server->view = *view;
    for (size_t k = 0; k < CLIENTS; k++)
        server->clients[k] = -1;
    enum status status = server_listen(port, &server->listening, ret_port, message);
    if (status != STATUS_OK) {
        free(server);
        return status;
    }
    int error = pthread_create(&server->thread, NULL, serve, server);
    if (error != 0) {
        close(server->listening);
        free(server);
        return status_fail(message, STATUS_LIMIT, "no thread for a server: %s", strerror(error));
    }
    *ret_server = &server->server;
    return STATUS_OK;
}
