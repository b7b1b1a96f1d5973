/* MQTT topics: which topic carries a channel, and what a message on it says.
 *
 * A source is `topic NAME` where the message is the value itself, `topic NAME field PATH` where it is JSON
 * (instrument/json_field.h). A topic holds no blanks and no wildcards: each channel has one place. */
#ifndef RUNDOWN_INSTRUMENT_MQTT_TOPICS_H
#define RUNDOWN_INSTRUMENT_MQTT_TOPICS_H

#include "instrument/driver.h"

enum {
    MQTT_ITEMS = LINK_CHANNELS + 1 /* and the instrument's own time */,
    MQTT_LONGEST = 1 << 16 /* bytes of a message */
};

struct mqtt_item {
    const struct link_channel *channel;
    char topic[160], field[160]; /* field "": the message itself */
    size_t number;               /* of the topic among the link's, from 0 */
};

struct mqtt_topics {
    struct mqtt_item items[MQTT_ITEMS]; /* in the order of link.channels, the own time last */
    size_t item_count, topic_count;
    int channel_count;
};

/* All sources of the link. A fault names its place in the rig file. */
enum status mqtt_topics_read(const struct link *link, struct mqtt_topics *ret_topics,
                             struct message *message);

/* Puts what a message says into the cells (and the time) of the arrival that come from its topic, and leaves the
 * others. HEARD_READING, with *ret_number that of the topic; HEARD_NOTHING for an empty message or a topic that
 * is not the link's; HEARD_GARBAGE, with the arrival untouched, when it holds none of the values. A JSON message
 * that lacks some of its fields leaves those missing. */
enum heard mqtt_topics_take(const struct mqtt_topics *topics, const char *topic, struct span payload,
                            struct arrival *arrival, size_t *ret_number, struct message *message);

#endif
