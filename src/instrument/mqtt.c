#include "instrument/mqtt.h"

#include "base/memory.h"
#include "base/number.h"
#include "instrument/address.h"
#include "instrument/mqtt_topics.h"
#include "instrument/reach.h"

#include <errno.h>
#include <mosquitto.h>
#include <pthread.h>

enum { KEEPALIVE_S = 15, NOT_ANSWERED = -1 };

struct mqtt_client {
    const struct link *link;
    const struct clock *clock;
    struct address address;
    struct mqtt_topics topics;
    int64_t within_ns;
    bool tls;
    struct mosquitto *line;
    int connected, subscribed; /* what the broker answered; NOT_ANSWERED */
    struct arrival open;       /* being put together: messages since first_ns */
    bool heard[MQTT_ITEMS];    /* by topic, in `open` */
    size_t heard_count;
    int64_t first_ns, last_ns;
    struct arrival *whole; /* [whole_count], to be handed up in their order */
    size_t whole_count, whole_capacity;
    struct message garbage; /* STATUS_OK: none */
    int code;               /* of libmosquitto; what ended the connection */
};

static void start_library(void)
{
    mosquitto_lib_init();
}

void mqtt_library(void)
{
    static pthread_once_t once = PTHREAD_ONCE_INIT;
    pthread_once(&once, start_library);
}

static const char *setting(const struct mqtt_client *client, const char *key)
{
    const struct link_setting *found = link_setting(client->link, key, NULL);
    return found != NULL ? found->value : NULL;
}

static void client_disconnect(void *state)
{
    struct mqtt_client *client = state;
    if (client->line != NULL) {
        mosquitto_disconnect(client->line);
        mosquitto_destroy(client->line);
    }
    client->line = NULL;
    client->code = MOSQ_ERR_NO_CONN;
}

static void client_free(void *state)
{
    struct mqtt_client *client = state;
    if (client == NULL)
        return;
    client_disconnect(client);
    free(client->whole);
    free(client);
}

static enum status read_settings(struct mqtt_client *client, struct message *message)
{
    const struct link *link = client->link;
    const struct link_setting *tls = link_setting(link, "tls", NULL),
                              *within = link_setting(link, "within", NULL);
    client->tls = setting(client, "cafile") != NULL || setting(client, "certfile") != NULL ||
                  setting(client, "keyfile") != NULL;
    if (tls != NULL && !span_is_word(span_of(tls->value), "yes") &&
        !span_is_word(span_of(tls->value), "no")) {
        link_fault(link, tls, NULL, message, "'%s' is neither yes nor no", tls->value);
        return status_remedy(message, "write `tls = yes`");
    }
    if (tls != NULL && span_is_word(span_of(tls->value), "no") && client->tls) {
        link_fault(link, tls, NULL, message, "certificates are named, and TLS is not to be used");
        return status_remedy(message, "write `tls = yes`, or take the certificates away");
    }
    client->tls |= tls != NULL && span_is_word(span_of(tls->value), "yes");
    const struct link_setting *user = link_setting(link, "user", NULL),
                              *password = link_setting(link, "password", NULL);
    if (password == NULL)
        password = link_setting(link, "password file", NULL);
    if (password != NULL && user == NULL) {
        link_fault(link, password, NULL, message, "a password needs the user that it belongs to");
        return status_remedy(message, "add `user = NAME`");
    }
    if ((setting(client, "certfile") == NULL) != (setting(client, "keyfile") == NULL)) {
        link_fault(link, NULL, NULL, message, "[%s] has one of certfile and keyfile", link->name);
        return status_remedy(message,
                             "a client's certificate needs both; `cafile` alone proves the broker only");
    }
    double seconds = 0.1;
    enum quantity quantity = QUANTITY_TIME;
    if (within != NULL &&
        (quantity_read(span_of(within->value), '.', &seconds, NULL, &quantity) != strlen(within->value) ||
         quantity != QUANTITY_TIME || !(seconds >= 0 && seconds <= 3600))) {
        link_fault(link, within, NULL, message, "'%s' is no time from 0 s to an hour", within->value);
        return status_remedy(message, "write `within = 0.1 s`");
    }
    client->within_ns = llround(seconds * 1e9);
    return STATUS_OK;
}

static enum status client_prepare(const struct link *link, const struct clock *clock, void **ret_state,
                                  struct message *message)
{
    struct mqtt_client *client = memory_get(sizeof *client);
    client->link = link;
    client->clock = clock;
    enum status status = read_settings(client, message);
    if (status == STATUS_OK)
        status = address_read(link, 1U << ADDRESS_TCP, client->tls ? 8883 : 1883, &client->address, message);
    if (status == STATUS_OK)
        status = mqtt_topics_read(link, &client->topics, message);
    if (status != STATUS_OK) {
        client_free(client);
        return status;
    }
    *ret_state = client;
    return STATUS_OK;
}

/* Hands the open reading on: its instant lies between its first and its last message. */
static void close_reading(struct mqtt_client *client)
{
    if (client->heard_count == 0)
        return;
    client->open.at_ns = client->first_ns + (client->last_ns - client->first_ns) / 2;
    client->open.within_ns = (client->last_ns - client->first_ns + 1) / 2;
    client->whole = memory_grow(client->whole, client->whole_count, &client->whole_capacity);
    client->whole[client->whole_count++] = client->open;
    client->open = (struct arrival){0};
    memset(client->heard, 0, sizeof client->heard);
    client->heard_count = 0;
}

static void on_connect(struct mosquitto *line, void *context, int code)
{
    ((struct mqtt_client *)context)->connected = code;
}

static void on_subscribe(struct mosquitto *line, void *context, int id, int count, const int *granted)
{
    struct mqtt_client *client = context;
    client->subscribed = 0;
    for (int k = 0; k < count && client->subscribed == 0; k++)
        client->subscribed = granted[k] > 2 ? k + 1 : 0; /* 0x80: refused (MQTT 3.1.1, 3.9.3) */
}

static void on_message(struct mosquitto *line, void *context, const struct mosquitto_message *said)
{
    struct mqtt_client *client = context;
    int64_t now = client->clock->now_ns(client->clock->context);
    size_t number = mqtt_topics_number(&client->topics, said->topic);
    if (said->retain || said->payloadlen <= 0 || number == client->topics.topic_count)
        return;
    if (client->heard[number] || (client->heard_count > 0 && now - client->first_ns > client->within_ns))
        close_reading(client);
    struct span payload = {said->payload, (size_t)said->payloadlen};
    if (!mqtt_topics_take(&client->topics, number, payload, &client->open, &client->garbage))
        return;
    if (client->heard_count == 0)
        client->first_ns = now;
    client->last_ns = now;
    client->heard[number] = true;
    if (++client->heard_count == client->topics.topic_count)
        close_reading(client);
}

/* An encrypted key would be asked for at the terminal, in the middle of a test. */
static int no_passphrase(char *buffer, int size, int writing, void *context)
{
    return 0;
}

static enum status equip(struct mqtt_client *client, struct message *message)
{
    const char *user = setting(client, "user"), *password = setting(client, "password");
    const char *path = setting(client, "password file"), *cafile = setting(client, "cafile");
    struct text kept = TEXT_EMPTY;
    int error = path != NULL ? text_read_file(path, 4096, &kept) : 0;
    if (error != 0) {
        status_fail(message, STATUS_UNREADABLE, "the password cannot be read from %s: %s", path,
                    strerror(error));
        return status_remedy(message, "keep it there on one line, readable by you alone");
    }
    char secret[512];
    span_copy(span_trim(span_of(text_string(&kept))), secret, sizeof secret);
    text_free(&kept);
    if (user != NULL)
        mosquitto_username_pw_set(client->line, user, path != NULL ? secret : password);
    if (client->tls && mosquitto_tls_set(client->line, cafile, cafile != NULL ? NULL : "/etc/ssl/certs",
                                         setting(client, "certfile"), setting(client, "keyfile"),
                                         no_passphrase) != MOSQ_ERR_SUCCESS) {
        status_fail(message, STATUS_UNREADABLE, "the certificates cannot be read");
        return status_remedy(message,
                             "check the paths of cafile, certfile and keyfile, and that you may read them");
    }
    return STATUS_OK;
}

/* What libmosquitto says of a code, without its full stop. */
static void say(int code, char *buffer, size_t size)
{
    struct span said = span_of(code == MOSQ_ERR_ERRNO ? strerror(errno) : mosquitto_strerror(code));
    said.n -= said.n > 0 && said.p[said.n - 1] == '.';
    span_copy(said, buffer, size);
}

/* Runs the connection until `*answer` is given, or the link's timeout has passed. */
static enum status await(struct mqtt_client *client, int code, const int *answer, const char *what,
                         struct message *message)
{
    int64_t until = reach_until_ns(client->clock, client->link->timeout_s);
    int64_t left = 0;
    while (code == MOSQ_ERR_SUCCESS && *answer == NOT_ANSWERED &&
           (left = until - client->clock->now_ns(client->clock->context)) > 0)
        code = mosquitto_loop(client->line, clock_timeout_ms(client->clock, (double)left * 1e-9), 1);
    if (*answer != NOT_ANSWERED)
        return STATUS_OK;
    char why[128] = "no answer in time";
    if (code != MOSQ_ERR_SUCCESS)
        say(code, why, sizeof why);
    status_fail(message, STATUS_UNREADABLE, "the broker at %s %s: %s", client->link->address, what, why);
    return status_remedy(
        message, client->tls ? "does it run, is the port right (8883 is usual with TLS), and does cafile "
                               "hold the authority of its certificate?"
                             : "does it run, is the port right (1883 is usual), does it want TLS?");
}

static enum status subscribe(struct mqtt_client *client, struct message *message)
{
    char *names[MQTT_ITEMS];
    for (size_t k = 0; k < client->topics.item_count; k++)
        names[client->topics.items[k].number] = client->topics.items[k].topic;
    int code =
        mosquitto_subscribe_multiple(client->line, NULL, (int)client->topics.topic_count, names, 0, 0, NULL);
    enum status status = await(client, code, &client->subscribed, "takes no subscription", message);
    if (status != STATUS_OK || client->subscribed == 0)
        return status;
    status_fail(message, STATUS_UNREADABLE, "the broker does not let it read %s",
                names[client->subscribed - 1]);
    return status_remedy(message, "its access list must allow that topic to this user");
}

static enum status enter(struct mqtt_client *client, struct message *message)
{
    mosquitto_connect_callback_set(client->line, on_connect);
    mosquitto_subscribe_callback_set(client->line, on_subscribe);
    mosquitto_message_callback_set(client->line, on_message);
    client->connected = client->subscribed = NOT_ANSWERED;
    client->garbage.status = STATUS_OK;
    enum status status = equip(client, message);
    if (status != STATUS_OK)
        return status;
    int code =
        mosquitto_connect_async(client->line, client->address.where, client->address.port, KEEPALIVE_S);
    status = await(client, code, &client->connected, "cannot be reached", message);
    if (status == STATUS_OK && client->connected != 0) {
        status_fail(message, STATUS_UNREADABLE, "the broker at %s refuses: %s", client->link->address,
                    mosquitto_connack_string(client->connected));
        status = status_remedy(message, "check `user`, `password` and `client id` in the rig file");
    }
    return status == STATUS_OK ? subscribe(client, message) : status;
}

static enum status client_connect(void *state, char *ret_identity, struct message *message)
{
    struct mqtt_client *client = state;
    mqtt_library();
    client_disconnect(client);
    client->line = mosquitto_new(setting(client, "client id"), true, client);
    if (client->line == NULL) {
        status_fail(message, STATUS_UNREADABLE, "there is a client id that MQTT does not take");
        return status_remedy(message, "leave it out, or keep to letters and digits");
    }
    enum status status = enter(client, message);
    if (status != STATUS_OK) {
        client_disconnect(client);
        return status;
    }
    client->code = MOSQ_ERR_SUCCESS;
    ret_identity[0] = '\0';
    return STATUS_OK;
}

static enum heard hand_on(struct mqtt_client *client, struct arrival *ret_arrival)
{
    *ret_arrival = client->whole[0];
    memmove(client->whole, client->whole + 1, --client->whole_count * sizeof *client->whole);
    return HEARD_READING;
}

static enum heard client_hear(void *state, double timeout_s, struct arrival *ret_arrival,
                              struct message *message)
{
    struct mqtt_client *client = state;
    const struct clock *clock = client->clock;
    int64_t until = reach_until_ns(clock, timeout_s), now = clock->now_ns(clock->context);
    for (;; now = clock->now_ns(clock->context)) {
        int64_t due = client->heard_count > 0 ? client->first_ns + client->within_ns : INT64_MAX;
        if (now >= due || client->code != MOSQ_ERR_SUCCESS)
            close_reading(client);
        if (client->whole_count > 0)
            return hand_on(client, ret_arrival);
        if (client->garbage.status != STATUS_OK) {
            *message = client->garbage;
            client->garbage.status = STATUS_OK;
            return HEARD_GARBAGE;
        }
        if (client->code != MOSQ_ERR_SUCCESS) {
            char why[128];
            say(client->code, why, sizeof why);
            status_fail(message, STATUS_UNREADABLE, "the broker at %s is gone: %s", client->link->address,
                        why);
            return HEARD_LOST;
        }
        if (now >= until)
            return HEARD_NOTHING;
        int64_t wait = (due < until ? due : until) - now;
        client->code = mosquitto_loop(client->line, clock_timeout_ms(clock, (double)wait * 1e-9), 1);
    }
}

const struct driver mqtt_driver = {
    "mqtt",         "topics of an MQTT broker, plain numbers or JSON",
    client_prepare, client_connect,
    client_hear,    client_disconnect,
    client_free,
};
