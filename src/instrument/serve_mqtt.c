#include "instrument/server.h"

#include "base/memory.h"
#include "instrument/mqtt.h"

#include <errno.h>
#include <mosquitto.h>
#include <pthread.h>
#include <stdatomic.h>

struct mqtt_server {
    struct server server;
    struct serve_view view;
    char topic[160];
    struct mosquitto *line;
    pthread_t thread;
    bool running;
    atomic_bool stopping;
};

/* `charge_tally`: a topic's level, and a name in the JSON message. */
static void level_of(enum channel channel, char *buffer, size_t size)
{
    span_copy(span_of(channel_name(channel)), buffer, size);
    for (char *p = buffer; *p != '\0'; p++)
        if (*p == ' ')
            *p = '_';
}

static void publish(struct mqtt_server *server, const char *level, const char *payload)
{
    char topic[256];
    snprintf(topic, sizeof topic, "%s/%s", server->topic, level);
    mosquitto_publish(server->line, NULL, topic, (int)strlen(payload), payload, 0, false);
}

static void publish_row(struct mqtt_server *server, const struct serve_row *row)
{
    struct text all = TEXT_EMPTY;
    char cell[DECIMAL_TEXT];
    snprintf(cell, sizeof cell, "%.3f", row->time_s);
    publish(server, "time", cell);
    text_addf(&all, "{\"time\":%s", cell);
    for (int k = 0; k < server->view.channel_count; k++) {
        char level[48];
        level_of(server->view.channels[k], level, sizeof level);
        decimal_print(row->cells[k], cell);
        if (cell[0] != '\0')
            publish(server, level, cell);
        const char *quote = row->cells[k].kind == DECIMAL_OVERLOAD ? "\"" : "";
        text_addf(&all, ",\"%s\":%s%s%s", level, quote, cell[0] != '\0' ? cell : "null", quote);
    }
    text_add(&all, "}");
    publish(server, "all", text_string(&all));
    text_free(&all);
}

static void *serve(void *context)
{
    struct mqtt_server *server = context;
    struct serve_row row = {0};
    bool dark = false;
    while (!server->stopping && server->view.next(server->view.context, &row, &dark))
        if (!dark && !server->stopping)
            publish_row(server, &row);
    return NULL;
}

/* What was published is sent before the connection is given up. */
static void stop_mqtt(struct server *base)
{
    struct mqtt_server *server = (struct mqtt_server *)base;
    server->stopping = true;
    if (server->running)
        pthread_join(server->thread, NULL);
    if (server->line != NULL) {
        mosquitto_disconnect(server->line);
        mosquitto_loop_stop(server->line, false);
        mosquitto_destroy(server->line);
    }
    free(server);
}

enum status serve_mqtt(const struct serve_view *view, const char *host, int port, const char *topic,
                       struct server **ret_server, struct message *message)
{
    struct mqtt_server *server = memory_get(sizeof *server);
    mqtt_library();
    server->server.stop = stop_mqtt;
    server->view = *view;
    span_copy(span_of(topic), server->topic, sizeof server->topic);
    server->line = mosquitto_new(NULL, true, server);
    int code = server->line == NULL ? MOSQ_ERR_NOMEM : mosquitto_connect(server->line, host, port, 15);
    if (code == MOSQ_ERR_SUCCESS)
        code = mosquitto_loop_start(server->line);
    if (code == MOSQ_ERR_SUCCESS) {
        int error = pthread_create(&server->thread, NULL, serve, server);
        server->running = error == 0;
        errno = error;
        code = error == 0 ? code : MOSQ_ERR_ERRNO;
    }
    if (code != MOSQ_ERR_SUCCESS) {
        status_fail(message, STATUS_UNREADABLE, "nothing can be published at %s:%d: %s", host, port,
                    code == MOSQ_ERR_ERRNO ? strerror(errno) : mosquitto_strerror(code));
        stop_mqtt(&server->server);
        return status_remedy(message, "does the broker run there? 1883 is the usual port");
    }
    *ret_server = &server->server;
    return STATUS_OK;
}
