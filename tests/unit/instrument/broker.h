/* A broker for the tests of MQTT, and a publisher, of another make. */
#ifndef RUNDOWN_TESTS_BROKER_H
#define RUNDOWN_TESTS_BROKER_H

#include "base/text.h"
#include "check.h"
#include "peer.h"

/* In a folder of its own, at a free port of loopback. */
struct broker {
    char folder[64], config[96], address[64];
    int port;
    struct peer peer;
};

static inline void write_file(const char *folder, const char *name, const char *content)
{
    char path[160];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    FILE *file = fopen(path, "w");
    if (file == NULL || fputs(content, file) < 0 || fclose(file) != 0)
        abort();
}

static inline void broker_start(struct broker *broker)
{
    broker->peer = peer_start((const char *const[]){"mosquitto", "-c", broker->config, NULL});
    CHECK(peer_accepts(broker->port, 5000));
}

/* `extra` is added to its configuration; %s in it becomes the folder. */
static inline bool broker_open(struct broker *broker, const char *extra)
{
    if (peer_tool("mosquitto") == NULL || peer_tool("mosquitto_pub") == NULL)
        return false;
    struct text config = TEXT_EMPTY;
    *broker = (struct broker){.port = peer_free_port()};
    peer_folder(broker->folder, sizeof broker->folder);
    snprintf(broker->config, sizeof broker->config, "%s/config", broker->folder);
    snprintf(broker->address, sizeof broker->address, "tcp localhost:%d", broker->port);
    text_addf(&config, "listener %d localhost\nuser root\n", broker->port);
    for (const char *p = extra; *p != '\0'; p++)
        if (*p == '@')
            text_add(&config, broker->folder);
        else
            text_add_bytes(&config, p, 1);
    write_file(broker->folder, "config", text_string(&config));
    text_free(&config);
    return true;
}

static inline void broker_close(struct broker *broker)
{
    peer_stop(&broker->peer);
    peer_sweep(broker->folder);
}

#define PUBLISH(broker_, ...)                                                                            \
    do {                                                                                                 \
        char port_[16];                                                                                  \
        snprintf(port_, sizeof port_, "%d", (broker_)->port);                                            \
        CHECK(peer_succeeds(                                                                             \
            (const char *const[]){"mosquitto_pub", "-h", "localhost", "-p", port_, __VA_ARGS__, NULL})); \
    } while (0)

#endif
