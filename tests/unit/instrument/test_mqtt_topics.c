#include "instrument/mqtt_topics.h"

#include "check.h"
#include "invented_link.h"

static const char *refused(const char *source)
{
    static struct message message;
    struct link link = invented_link("mqtt", "tcp localhost");
    struct mqtt_topics topics = {.topic_count = 77};
    invented_channel(&link, "voltage", source);
    CHECK(mqtt_topics_read(&link, &topics, &message) == STATUS_MALFORMED);
    CHECK(topics.topic_count == 77 && message.line == 9 && message.column == 16);
    CHECK(strstr(message.remedy, "`voltage from = topic hut/bench/volts`") != NULL);
    return message.what;
}

TEST(what_is_no_source_is_refused_with_its_place)
{
    CHECK_TEXT(refused("hut/bench/volts"), "'hut/bench/volts' does not begin with `topic`");
    CHECK_TEXT(refused("topic"), "'' is no topic of one channel");
    CHECK_TEXT(refused("topic hut/+/volts"), "'hut/+/volts' is no topic of one channel");
    CHECK_TEXT(refused("topic hut/#"), "'hut/#' is no topic of one channel");
    CHECK_TEXT(refused("topic hut/\xFF"), "'hut/\xFF' is no topic of one channel");
    CHECK_TEXT(refused("topic hut/all volts"),
               "'topic hut/all volts' has something after the topic that is no `field NAME`");
    CHECK_TEXT(refused("topic hut/all field"),
               "'topic hut/all field' has something after the topic that is no `field NAME`");
    struct link link = invented_link("mqtt", "tcp localhost");
    struct mqtt_topics topics;
    struct message message;
    CHECK(mqtt_topics_read(&link, &topics, &message) == STATUS_MALFORMED);
    CHECK_TEXT(message.what, "[invented meter] delivers no channel");
}

/* volts alone, then amps, watts and the time out of one message, in the order of the link. */
static struct link four_channels(struct mqtt_topics *topics)
{
    static struct link link;
    struct message message;
    link = invented_link("mqtt", "tcp localhost");
    invented_channel(&link, "voltage", "topic hut/bench/volts");
    invented_channel(&link, "current", "topic hut/bench/all field amps");
    invented_channel(&link, "power", "Topic hut/bench/all\tField pack.net watts");
    link.own_time = true;
    link.time_source = (struct link_channel){.name = "time", .source = "topic hut/bench/all field t"};
    CHECK(mqtt_topics_read(&link, topics, &message) == STATUS_OK);
    CHECK(topics->topic_count == 2 && topics->item_count == 4);
    return link;
}

static bool take(const struct mqtt_topics *topics, const char *topic, const char *payload,
                 struct arrival *arrival, struct message *message)
{
    size_t number = mqtt_topics_number(topics, topic);
    CHECK(number < topics->topic_count);
    return mqtt_topics_take(topics, number, span_of(payload), arrival, message);
}

TEST(digits_arrive_as_they_were_sent)
{
    struct mqtt_topics topics;
    struct message message;
    struct arrival arrival = {0};
    four_channels(&topics);
    CHECK(take(&topics, "hut/bench/volts", "12.90", &arrival, &message));
    CHECK_TEXT(shown(&arrival, 0), "12.90");
    CHECK_TEXT(shown(&arrival, 1), "missing");
    CHECK(take(&topics, "hut/bench/all", "{\"t\":60.50,\"amps\":20.500,\"pack\":{\"net watts\":\"264.4\"}}",
               &arrival, &message));
    CHECK_TEXT(shown(&arrival, 0), "12.90");
    CHECK_TEXT(shown(&arrival, 1), "20.500");
    CHECK_TEXT(shown(&arrival, 2), "264.4");
    CHECK(arrival.time.mantissa == 6050 && arrival.time.decimals == 2);
    arrival = (struct arrival){0};
    CHECK(take(&topics, "hut/bench/all", "{\"amps\":null, \"pack\":{\"net watts\":\"OL\"}}", &arrival,
               &message));
    CHECK_TEXT(shown(&arrival, 1), "missing");
    CHECK_TEXT(shown(&arrival, 2), "OL");
    CHECK(take(&topics, "hut/bench/volts", "0.1234567890123456789", &arrival, &message));
    CHECK_TEXT(shown(&arrival, 0), "0.1234567890123456789"); /* more digits than a decimal holds: odd */
}

TEST(what_holds_no_reading_is_garbage_and_changes_nothing)
{
    static const struct {
        const char *topic, *payload, *what;
    } bad[] = {
        {"hut/bench/volts", "twelve", "on hut/bench/volts: `twelve` is no number"},
        {"hut/bench/volts", "12.90 12.91", "on hut/bench/volts: `12.90 12.91` is no number in "},
        {"hut/bench/all", "{\"amps\":20.5",
         "on hut/bench/all: this is no JSON: '}' expected near end of file"},
        {"hut/bench/all", "20.5",
         "on hut/bench/all: `20.5` holds none of the fields that the rig file names"},
        {"hut/bench/all", "{\"volts\":1}",
         "on hut/bench/all: `{\"volts\":1}` holds none of the fields that the rig file names"},
        {"hut/bench/all", "{\"amps\":[1],\"t\":5}", "on hut/bench/all: `[1]` is no number"},
    };
    struct mqtt_topics topics;
    four_channels(&topics);
    for (size_t k = 0; k < sizeof bad / sizeof *bad; k++) {
        struct message message;
        struct arrival arrival = {.at_ns = -7}, before = arrival;
        CHECK(!take(&topics, bad[k].topic, bad[k].payload, &arrival, &message));
        CHECK(memcmp(&arrival, &before, sizeof before) == 0);
        CHECK_TEXT(message.what, bad[k].what);
    }
}

TEST(what_is_not_ours_or_too_long_is_no_reading)
{
    struct mqtt_topics topics;
    struct message message;
    struct arrival arrival = {0};
    four_channels(&topics);
    CHECK(mqtt_topics_number(&topics, "hut/bench/VOLTS") == topics.topic_count);
    CHECK(mqtt_topics_number(&topics, "hut/bench") == topics.topic_count);
    size_t size = MQTT_LONGEST + 1;
    char *long_text = malloc(size);
    memset(long_text, '1', size);
    CHECK(!mqtt_topics_take(&topics, 0, (struct span){long_text, size}, &arrival, &message));
    CHECK_TEXT(message.what, "on hut/bench/volts: 65537 bytes are too many for a reading");
    free(long_text);
}
