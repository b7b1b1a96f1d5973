#include "instrument/mqtt.h"

#include "check.h"
#include "instrument/serve.h"
#include "broker.h"
#include "invented_link.h"

#include <pthread.h>

static struct clock machine;

static void *prepared(const struct link *link)
{
    void *state = NULL;
    struct message message = {0};
    machine = clock_machine();
    CHECK(mqtt_driver.prepare(link, &machine, &state, &message) == STATUS_OK);
    CHECK_TEXT(message.what, "");
    return state;
}

static enum heard hear(void *state, struct arrival *arrival, struct message *message)
{
    enum heard heard = HEARD_NOTHING;
    *message = (struct message){0};
    for (int k = 0; k < 60 && heard == HEARD_NOTHING; k++)
        heard = mqtt_driver.hear(state, 0.05, arrival, message);
    return heard;
}

static void connect_well(void *state)
{
    char identity[128] = "?";
    struct message message = {0};
    CHECK(mqtt_driver.connect(state, identity, &message) == STATUS_OK);
    CHECK_TEXT(message.what, "");
    CHECK_TEXT(identity, "");
}

static const char *refusal(void *state)
{
    static struct message message;
    char identity[128] = "?";
    message = (struct message){0};
    CHECK(mqtt_driver.connect(state, identity, &message) == STATUS_UNREADABLE);
    CHECK(message.remedy[0] != '\0');
    CHECK_TEXT(identity, "?");
    return message.what;
}

TEST(faults_of_the_rig_file_come_before_anything_is_touched)
{
    static const struct {
        const char *key, *value, *other, *what;
    } bad[] = {
        {"tls", "perhaps", NULL, "'perhaps' is neither yes nor no"},
        {"tls", "no", "cafile", "certificates are named, and TLS is not to be used"},
        {"password", "alpine", NULL, "a password needs the user that it belongs to"},
        {"password file", "secret", NULL, "a password needs the user that it belongs to"},
        {"certfile", "bench.crt", NULL, "[invented meter] has one of certfile and keyfile"},
        {"within", "2", NULL, "'2' is no time from 0 s to an hour"},
        {"within", "2 h", NULL, "'2 h' is no time from 0 s to an hour"},
        {"within", "0.1 V", NULL, "'0.1 V' is no time from 0 s to an hour"},
    };
    for (size_t k = 0; k < sizeof bad / sizeof *bad; k++) {
        struct link link = invented_link("mqtt", "tcp broker.hut");
        struct link_setting settings[2];
        struct message message = {0};
        void *state = NULL;
        invented_channel(&link, "voltage", "topic hut/volts");
        invented_setting(&link, settings, bad[k].key, bad[k].value);
        if (bad[k].other != NULL)
            invented_setting(&link, settings, bad[k].other, "x");
        CHECK(mqtt_driver.prepare(&link, &machine, &state, &message) == STATUS_MALFORMED && state == NULL);
        CHECK_TEXT(message.what, bad[k].what);
        CHECK(message.remedy[0] != '\0');
    }
}

TEST(messages_of_another_maker_through_a_broker)
{
    struct broker broker;
    if (!broker_open(&broker, "allow_anonymous true\n"))
        SKIP("mosquitto or mosquitto-clients is not installed");
    broker_start(&broker);
    PUBLISH(&broker, "-r", "-t", "hut/bench/volts", "-m", "11.11"); /* retained: of yesterday, perhaps */
    struct link link = invented_link("mqtt", broker.address);
    struct link_setting settings[1];
    invented_channel(&link, "voltage", "topic hut/bench/volts");
    invented_channel(&link, "current", "topic hut/bench/more field amps");
    invented_setting(&link, settings, "within", "0.4 s");
    void *state = prepared(&link);
    struct arrival arrival;
    struct message message;
    connect_well(state);
    CHECK(mqtt_driver.hear(state, 0.1, &arrival, &message) == HEARD_NOTHING);

    int64_t before = machine.now_ns(NULL);
    PUBLISH(&broker, "-t", "hut/bench/volts", "-m", "12.90");
    PUBLISH(&broker, "-t", "hut/other/volts", "-m", "99.99"); /* another bench of the same broker */
    PUBLISH(&broker, "-t", "hut/bench/more", "-m", "{\"amps\": 20.500, \"odd\": [1, 2]}");
    CHECK(hear(state, &arrival, &message) == HEARD_READING);
    CHECK_TEXT(shown(&arrival, 0), "12.90");
    CHECK_TEXT(shown(&arrival, 1), "20.500");
    CHECK(arrival.at_ns - arrival.within_ns >= before);
    CHECK(arrival.at_ns + arrival.within_ns <= machine.now_ns(NULL) + 1);

    /* A topic that comes again begins a reading; what the other did not say anew is missing. */
    PUBLISH(&broker, "-r", "-t", "hut/bench/volts", "-m", "12.91"); /* kept for others; to us it comes live */
    PUBLISH(&broker, "-t", "hut/bench/volts", "-m", "12.92");
    CHECK(hear(state, &arrival, &message) == HEARD_READING);
    CHECK_TEXT(shown(&arrival, 0), "12.91");
    CHECK_TEXT(shown(&arrival, 1), "missing");
    CHECK(hear(state, &arrival, &message) == HEARD_READING);
    CHECK_TEXT(shown(&arrival, 0), "12.92");
    CHECK_TEXT(shown(&arrival, 1), "missing");
    CHECK(mqtt_driver.hear(state, 0.01, &arrival, &message) == HEARD_NOTHING);

    PUBLISH(&broker, "-t", "hut/bench/more", "-m", "{\"amps\": 20.5");
    CHECK(hear(state, &arrival, &message) == HEARD_GARBAGE);
    CHECK(strstr(message.what, "on hut/bench/more: this is no JSON") != NULL);
    mqtt_driver.free(state);
    broker_close(&broker);
}

TEST(a_broker_that_goes_away_and_comes_back)
{
    struct broker broker;
    if (!broker_open(&broker, "allow_anonymous true\n"))
        SKIP("mosquitto or mosquitto-clients is not installed");
    broker_start(&broker);
    struct link link = invented_link("mqtt", broker.address);
    invented_channel(&link, "voltage", "topic hut/bench/volts");
    void *state = prepared(&link);
    struct arrival arrival = {.at_ns = -7};
    struct message message;
    connect_well(state);
    peer_stop(&broker.peer);
    CHECK(hear(state, &arrival, &message) == HEARD_LOST && arrival.at_ns == -7);
    CHECK(strstr(message.what, "is gone: ") != NULL);
    CHECK(hear(state, &arrival, &message) == HEARD_LOST);
    mqtt_driver.disconnect(state);
    CHECK(strstr(refusal(state), "cannot be reached: ") != NULL);
    CHECK(hear(state, &arrival, &message) == HEARD_LOST);
    broker_start(&broker);
    connect_well(state);
    PUBLISH(&broker, "-t", "hut/bench/volts", "-m", "12.90");
    CHECK(hear(state, &arrival, &message) == HEARD_READING);
    CHECK_TEXT(shown(&arrival, 0), "12.90");
    mqtt_driver.free(state);
    broker_close(&broker);
}

TEST(users_and_what_they_may_read)
{
    struct broker broker;
    if (!broker_open(&broker, "allow_anonymous false\npassword_file @/users\nacl_file @/rights\n") ||
        peer_tool("mosquitto_passwd") == NULL)
        SKIP("mosquitto or mosquitto-clients is not installed");
    char users[96], secret[96];
    snprintf(users, sizeof users, "%s/users", broker.folder);
    snprintf(secret, sizeof secret, "%s/secret", broker.folder);
    CHECK(peer_succeeds(
        (const char *const[]){"mosquitto_passwd", "-c", "-b", users, "bench", "edelweiss", NULL}));
    write_file(broker.folder, "rights", "user bench\ntopic readwrite hut/bench/#\n");
    write_file(broker.folder, "secret", "edelweiss\n");
    broker_start(&broker);
    struct link link = invented_link("mqtt", broker.address);
    struct link_setting settings[2];
    invented_channel(&link, "voltage", "topic hut/bench/volts");
    void *state = prepared(&link);
    CHECK(strstr(refusal(state), "refuses: Connection Refused: not authorised") != NULL);
    invented_setting(&link, settings, "user", "bench");
    invented_setting(&link, settings, "password", "enzian");
    CHECK(strstr(refusal(state), "refuses: Connection Refused: not authorised") != NULL);
    link.setting_count = 1;
    invented_setting(&link, settings, "password file", secret);
    connect_well(state);
    struct arrival arrival;
    struct message message;
    PUBLISH(&broker, "-u", "bench", "-P", "edelweiss", "-t", "hut/bench/volts", "-m", "12.90");
    CHECK(hear(state, &arrival, &message) == HEARD_READING);
    link.setting_count = 1;
    invented_setting(&link, settings, "password file", "no/such/file");
    CHECK(strstr(refusal(state), "cannot be read from no/such/file: No such file or directory") != NULL);
    mqtt_driver.free(state);
    broker_close(&broker);
}

TEST(tls_with_an_authority_of_the_workshop)
{
    struct broker broker;
    if (!broker_open(
            &broker,
            "allow_anonymous true\ncafile @/bench.crt\ncertfile @/bench.crt\nkeyfile @/bench.key\n") ||
        peer_tool("openssl") == NULL)
        SKIP("mosquitto, mosquitto-clients or openssl is not installed");
    char crt[96], key[96];
    snprintf(crt, sizeof crt, "%s/bench.crt", broker.folder);
    snprintf(key, sizeof key, "%s/bench.key", broker.folder);
    CHECK(peer_succeeds((const char *const[]){"openssl", "req", "-x509", "-newkey", "ec", "-pkeyopt",
                                              "ec_paramgen_curve:prime256v1", "-nodes", "-days", "2", "-subj",
                                              "/CN=localhost", "-addext", "subjectAltName=DNS:localhost",
                                              "-keyout", key, "-out", crt, NULL}));
    broker_start(&broker);
    struct link link = invented_link("mqtt", broker.address);
    struct link_setting settings[3];
    invented_channel(&link, "voltage", "topic hut/bench/volts");
    invented_setting(&link, settings, "tls", "yes");
    void *state = prepared(&link);
    CHECK(strstr(refusal(state), "cannot be reached: ") != NULL); /* signed by nobody known */
    mqtt_driver.free(state);
    invented_setting(&link, settings, "cafile", "no/such/file");
    state = prepared(&link);
    CHECK_TEXT(refusal(state), "the certificates cannot be read");
    mqtt_driver.free(state);
    link.setting_count = 1;
    invented_setting(&link, settings, "cafile", crt);
    state = prepared(&link);
    connect_well(state);
    struct arrival arrival;
    struct message message;
    PUBLISH(&broker, "--cafile", crt, "-t", "hut/bench/volts", "-m", "12.90");
    CHECK(hear(state, &arrival, &message) == HEARD_READING);
    CHECK_TEXT(shown(&arrival, 0), "12.90");
    mqtt_driver.free(state);
    broker_close(&broker);
}

TEST(a_broker_that_never_answers_costs_the_timeout_and_no_more)
{
    int port;
    int listener = peer_listen(&port);
    char address[64];
    snprintf(address, sizeof address, "tcp 127.0.0.1:%d", port);
    struct link link = invented_link("mqtt", address);
    link.timeout_s = 0.25;
    invented_channel(&link, "voltage", "topic hut/bench/volts");
    void *state = prepared(&link);
    int64_t before = machine.now_ns(NULL);
    CHECK(strstr(refusal(state), "cannot be reached: no answer in time") != NULL);
    double spent_s = (double)(machine.now_ns(NULL) - before) * 1e-9;
    CHECK(spent_s >= 0.25 && spent_s < 2);
    mqtt_driver.free(state);
    close(listener);
}

/* A broker played by the test, for what a well-kept one does not do: after each packet that comes it sends the next
 * of its answers. Packets by MQTT 3.1.1, 3.1 to 3.9. */
struct scripted {
    int listener;
    struct {
        const char *bytes;
        size_t size;
    } answers[3];
    uint8_t first[2], connect[7], subscribe[2];
};

static void *play_broker(void *context)
{
    struct scripted *script = context;
    int fd = accept(script->listener, NULL, NULL);
    uint8_t head[2], body[128];
    for (int k = 0; k < 3 && recv(fd, head, 2, MSG_WAITALL) == 2 && head[1] < sizeof body; k++) {
        if (recv(fd, body, head[1], MSG_WAITALL) != head[1])
            break;
        script->first[k > 0] = head[0];
        if (k == 0)
            memcpy(script->connect, body, sizeof script->connect);
        else
            memcpy(script->subscribe, (uint8_t[]){body[head[1] - 2], body[head[1] - 1]}, 2);
        if (send(fd, script->answers[k].bytes, script->answers[k].size, MSG_NOSIGNAL) < 0 || k == 1)
            break;
    }
    recv(fd, body, sizeof body, 0); /* until the other side goes */
    close(fd);
    return NULL;
}

static void *joined_by(struct scripted *script, pthread_t *thread, void **ret_state)
{
    static struct link link;
    char address[64];
    int port;
    script->listener = peer_listen(&port);
    snprintf(address, sizeof address, "tcp 127.0.0.1:%d", port);
    link = invented_link("mqtt", address);
    invented_channel(&link, "voltage", "topic hut/v");
    pthread_create(thread, NULL, play_broker, script);
    return *ret_state = prepared(&link);
}

TEST(a_broker_that_refuses_a_topic)
{
    struct scripted script = {.answers = {{"\x20\x02\0\0", 4}, {"\x90\x03\0\x01\x80", 5}}};
    pthread_t thread;
    void *state;
    CHECK_TEXT(refusal(joined_by(&script, &thread, &state)), "the broker does not let it read hut/v");
    mqtt_driver.free(state);
    pthread_join(thread, NULL);
    close(script.listener);
    CHECK(script.first[0] == 0x10 && memcmp(script.connect, "\0\4MQTT\4", 7) == 0);
    CHECK(script.first[1] == 0x82 && memcmp(script.subscribe, "v\0", 2) == 0); /* at quality of service 0 */
}

TEST(a_broker_that_babbles)
{
    static const char babble[] = "\x90\x03\0\x01\0"
                                 "\x30\x0A\0\5hut/v9.0\xF0\xFF\xFF\xFF\xFF\xFF\xFF";
    struct scripted script = {.answers = {{"\x20\x02\0\0", 4}, {babble, sizeof babble - 1}}};
    struct arrival arrival = {0};
    struct message message;
    pthread_t thread;
    void *state;
    connect_well(joined_by(&script, &thread, &state));
    CHECK(hear(state, &arrival, &message) == HEARD_READING); /* a whole message is one, whatever follows */
    CHECK_TEXT(shown(&arrival, 0), "9.0");
    CHECK(hear(state, &arrival, &message) == HEARD_LOST);
    mqtt_driver.free(state);
    pthread_join(thread, NULL);
    close(script.listener);
}

struct three_rows {
    int given;
};

static bool next_row(void *context, struct serve_row *ret_row, bool *ret_dark)
{
    struct three_rows *rows = context;
    int k = rows->given++;
    *ret_row = (struct serve_row){.time_s = 1.5 * k};
    ret_row->cells[0] = (struct decimal){1290 - k, 2, DECIMAL_NUMBER};
    ret_row->cells[1] = (struct decimal){.kind = k == 2 ? DECIMAL_OVERLOAD : DECIMAL_MISSING};
    *ret_dark = k == 1;
    return k < 3;
}

static const struct serve_view *three_rows(struct three_rows *rows)
{
    static struct serve_view view;
    view = (struct serve_view){
        "Invented,Bench meter,0007,1.0", {CHANNEL_VOLTAGE, CHANNEL_CHARGE_TALLY}, 2, NULL, next_row, rows};
    return &view;
}

TEST(what_is_served_is_heard)
{
    struct broker broker;
    if (!broker_open(&broker, "allow_anonymous true\n"))
        SKIP("mosquitto or mosquitto-clients is not installed");
    broker_start(&broker);
    char port[16], line[96];
    snprintf(port, sizeof port, "%d", broker.port);
    struct peer other =
        peer_start((const char *const[]){"mosquitto_sub", "-h", "localhost", "-p", port, "-t", "hut/bench/#",
                                         "-t", "ready", "-v", "-C", "8", NULL});
    do
        PUBLISH(&broker, "-t", "ready", "-m", "?");
    while (!peer_line(&other, line, sizeof line, 100));
    struct link link = invented_link("mqtt", broker.address);
    invented_channel(&link, "voltage", "topic hut/bench/all field voltage");
    invented_channel(&link, "charge tally", "topic hut/bench/all field charge_tally");
    link.own_time = true;
    link.time_source = (struct link_channel){.name = "time", .source = "topic hut/bench/all field time"};
    void *state = prepared(&link);
    connect_well(state);

    struct three_rows rows = {0};
    struct server *server = NULL;
    struct message message;
    struct arrival arrival;
    CHECK(serve_mqtt(three_rows(&rows), "localhost", broker.port, "hut/bench", &server, &message) ==
          STATUS_OK);
    CHECK(hear(state, &arrival, &message) == HEARD_READING);
    CHECK_TEXT(shown(&arrival, 0), "12.90");
    CHECK_TEXT(shown(&arrival, 1), "missing");
    CHECK(decimal_value(arrival.time) == 0);
    CHECK(hear(state, &arrival, &message) == HEARD_READING); /* nothing while dark */
    CHECK_TEXT(shown(&arrival, 0), "12.88");
    CHECK_TEXT(shown(&arrival, 1), "OL");
    CHECK(decimal_value(arrival.time) == 3);
    server_stop(server);
    mqtt_driver.free(state);

    static const char *const said[] = {
        "hut/bench/time 0.000",
        "hut/bench/voltage 12.90",
        "hut/bench/all {\"time\":0.000,\"voltage\":12.90,\"charge_tally\":null}",
        "hut/bench/time 3.000",
        "hut/bench/voltage 12.88",
        "hut/bench/charge_tally OL",
        "hut/bench/all {\"time\":3.000,\"voltage\":12.88,\"charge_tally\":\"OL\"}"};
    for (size_t k = 0; k < sizeof said / sizeof *said; k++) {
        do
            line[0] = '\0';
        while (peer_line(&other, line, sizeof line, 2000) && strcmp(line, "ready ?") == 0);
        CHECK_TEXT(line, said[k]);
    }
    peer_stop(&other);
    broker_close(&broker);
}

TEST(a_server_without_a_broker_says_so)
{
    struct three_rows rows = {0};
    struct server *server = NULL;
    struct message message;
    CHECK(serve_mqtt(three_rows(&rows), "localhost", peer_free_port(), "hut/bench", &server, &message) ==
          STATUS_UNREADABLE);
    CHECK(server == NULL && strstr(message.what, "nothing can be published at localhost:") != NULL);
}
