/* Instruments side by side, each on its thread: what still speaks is heard while another is away. */
#include "instrument/runner.h"
#include "instrument/serve.h"

#include "broker.h"
#include "check.h"
#include "invented_link.h"

#include <stdatomic.h>

static atomic_bool dark;

static bool show_row(void *context, struct serve_row *ret_row)
{
    *ret_row = (struct serve_row){.cells = {{1290, 2, DECIMAL_NUMBER}}};
    return !dark;
}

static const struct serve_view view = {.identity = "Invented,Shunt meter,0008,1.0",
                                       .channels = {CHANNEL_VOLTAGE},
                                       .channel_count = 1,
                                       .row = show_row};

/* What has been pushed of each instrument, counted by kind. */
struct seen {
    size_t count[2][NEWS_END + 1];
    char lost[2][160];
};

static void take_until(struct runner *runner, struct seen *seen, size_t instrument, enum news_kind kind,
                       size_t count)
{
    struct news news[16];
    for (int k = 0; k < 2000 && seen->count[instrument][kind] < count; k++)
        for (size_t n = runner_take(runner, news, 16, 0.1); n > 0; n--) {
            const struct news *one = &news[n - 1];
            seen->count[one->instrument][one->kind]++;
            if (one->kind == NEWS_LOST)
                span_copy(span_of(one->text), seen->lost[one->instrument],
                          sizeof seen->lost[one->instrument]);
        }
    CHECK(seen->count[instrument][kind] >= count);
}

static struct link links_items[2];

static struct links two_links(const struct broker *broker, int port)
{
    char address[64];
    snprintf(address, sizeof address, "tcp 127.0.0.1:%d", port);
    links_items[0] = invented_link("modbus", address);
    links_items[1] = invented_link("mqtt", broker->address);
    for (int k = 0; k < 2; k++)
        links_items[k].period_s = 0.2, links_items[k].timeout_s = 2;
    invented_channel(&links_items[0], "voltage", "input 0 i32");
    invented_channel(&links_items[1], "current", "topic hut/bench/amps");
    return (struct links){.items = links_items, .count = 2, .clock_rate = 10};
}

TEST(each_comes_back_by_itself_while_the_other_goes_on)
{
    struct broker broker;
    if (!broker_open(&broker, "allow_anonymous true\n"))
        SKIP("mosquitto or mosquitto-clients is not installed");
    broker_start(&broker);
    struct clock_paced paced;
    struct clock clock = clock_at_rate(&paced, 10);
    struct server *server = NULL;
    struct message message;
    struct runner *runner = NULL;
    int port;
    CHECK(serve_modbus(&view, 0, &server, &port, &message) == STATUS_OK);
    struct links links = two_links(&broker, port);
    CHECK(runner_prepare(&links, drivers, &clock, 64, &runner, &message) == STATUS_OK);
    CHECK(runner_start(runner, &message) == STATUS_OK);
    struct seen seen = {0};
    take_until(runner, &seen, 1, NEWS_CONNECTED, 1);
    PUBLISH(&broker, "-t", "hut/bench/amps", "-m", "20.50");
    take_until(runner, &seen, 1, NEWS_READING, 1);

    peer_stop(&broker.peer);
    take_until(runner, &seen, 1, NEWS_LOST, 1);
    CHECK(strstr(seen.lost[1], "is gone") != NULL || strstr(seen.lost[1], "cannot be reached") != NULL);
    take_until(runner, &seen, 0, NEWS_READING, seen.count[0][NEWS_READING] + 5);
    CHECK(seen.count[0][NEWS_LOST] == 0 && seen.count[1][NEWS_READING] == 1);
    broker_start(&broker);
    take_until(runner, &seen, 1, NEWS_CONNECTED, 2);
    PUBLISH(&broker, "-t", "hut/bench/amps", "-m", "20.51");
    take_until(runner, &seen, 1, NEWS_READING, 2);

    dark = true;
    take_until(runner, &seen, 0, NEWS_LOST, 1);
    CHECK(strstr(seen.lost[0], "no answer within 2 s from unit 1") != NULL);
    dark = false;
    take_until(runner, &seen, 0, NEWS_READING, seen.count[0][NEWS_READING] + 5);
    CHECK(seen.count[1][NEWS_LOST] >= 1 && seen.count[0][NEWS_GARBAGE] + seen.count[1][NEWS_GARBAGE] == 0);
    runner_free(runner);
    server_stop(server);
    broker_close(&broker);
}
