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

/* The number of a topic among the link's, topic_count when it is none of them. */
size_t mqtt_topics_number(const struct mqtt_topics *topics, const char *topic);

/* Puts what a message on topic `number` says into the cells (and the time) of the arrival that come from it, and
 * leaves the others. False, with the arrival untouched, when it holds none of the values, or one that is no number;
 * the message says why. JSON that lacks some of its fields leaves those missing. */
bool mqtt_topics_take(const struct mqtt_topics *topics, size_t number, struct span payload,
                      struct arrival *arrival, struct message *message);

#endif
