#include "instrument/mqtt_topics.h"

#include "instrument/field.h"
#include "instrument/json_field.h"

static enum status fault(const struct link *link, const struct link_channel *channel, struct span at,
                         const char *what, struct message *message)
{
    link_fault(link, NULL, channel, message, "'%.*s' %s", (int)at.n, at.p, what);
    return status_remedy(
        message,
        "write `%s from = topic hut/bench/volts` where the message is the number itself, or `topic "
        "hut/bench/all field volts` where it is JSON",
        channel->name);
}

/* No wildcard, no control character, well-formed (MQTT 3.1.1, 4.7.1 and 1.5.3). */
static bool topic_sound(struct span topic)
{
    for (size_t k = 0; k < topic.n; k++)
        if (topic.p[k] == '+' || topic.p[k] == '#' || (unsigned char)topic.p[k] < 0x20)
            return false;
    return topic.n > 0 && span_bad_utf8(topic) == topic.n;
}

static enum status read_item(const struct link *link, const struct link_channel *channel,
                             struct mqtt_item *item, struct message *message)
{
    struct span whole = span_of(channel->source), rest = whole, word = span_take_word(&rest);
    *item = (struct mqtt_item){.channel = channel};
    if (!span_is_word(word, "topic"))
        return fault(link, channel, whole, "does not begin with `topic`", message);
    struct span topic = span_take_word(&rest), field = span_take_word(&rest), path = span_trim(rest);
    if (!topic_sound(topic) || topic.n >= sizeof item->topic)
        return fault(link, channel, topic, "is no topic of one channel", message);
    if (field.n > 0 && (!span_is_word(field, "field") || path.n == 0))
        return fault(link, channel, whole, "has something after the topic that is no `field NAME`", message);
    span_copy(topic, item->topic, sizeof item->topic);
    span_copy(path, item->field, sizeof item->field);
    return STATUS_OK;
}

size_t mqtt_topics_number(const struct mqtt_topics *topics, const char *topic)
{
    for (size_t k = 0; k < topics->item_count; k++)
        if (strcmp(topics->items[k].topic, topic) == 0)
            return topics->items[k].number;
    return topics->topic_count;
}

enum status mqtt_topics_read(const struct link *link, struct mqtt_topics *ret_topics, struct message *message)
{
    struct mqtt_topics topics = {.channel_count = link->channel_count};
    enum status status = STATUS_OK;
    for (int k = 0; k < link->channel_count + link->own_time && status == STATUS_OK; k++) {
        const struct link_channel *channel =
            k < link->channel_count ? &link->channels[k] : &link->time_source;
        struct mqtt_item *item = &topics.items[k];
        status = read_item(link, channel, item, message);
        item->number = mqtt_topics_number(&topics, item->topic);
        topics.topic_count += item->number == topics.topic_count;
        topics.item_count++;
    }
    if (status == STATUS_OK && link->channel_count == 0) {
        link_fault(link, NULL, NULL, message, "[%s] delivers no channel", link->name);
        status = status_remedy(message, "add a line such as `voltage from = topic hut/bench/volts`");
    }
    if (status == STATUS_OK)
        *ret_topics = topics;
    return status;
}

/* Whether the payload can be read at all; `json`: by its fields. */
static bool sound(struct span payload, bool json, struct message *message)
{
    if (payload.n <= MQTT_LONGEST)
        return !json || json_field_sound(payload, message);
    status_fail(message, STATUS_MALFORMED, "%zu bytes are too many for a reading", payload.n);
    return false;
}

static bool take_values(const struct mqtt_topics *topics, size_t number, struct span payload,
                        struct arrival *taken, struct message *message)
{
    bool json = false, found = false;
    for (size_t k = 0; k < topics->item_count; k++)
        json |= topics->items[k].number == number && topics->items[k].field[0] != '\0';
    if (!sound(payload, json, message))
        return false;
    for (size_t k = 0; k < topics->item_count; k++) {
        const struct mqtt_item *item = &topics->items[k];
        struct span value = payload;
        if (item->number != number ||
            (item->field[0] != '\0' && !json_field_find(payload, span_of(item->field), &value)))
            continue;
        struct decimal *cell = (int)k < topics->channel_count ? &taken->cells[k] : &taken->time;
        if (!field_read(value, item->channel, '.', cell, taken->odd, message))
            return false;
        found = true;
    }
    if (found)
        return true;
    char shown[FIELD_SHOWN];
    field_show(payload, shown);
    status_fail(message, STATUS_MALFORMED, "`%s` holds none of the fields that the rig file names", shown);
    return false;
}

bool mqtt_topics_take(const struct mqtt_topics *topics, size_t number, struct span payload,
                      struct arrival *arrival, struct message *message)
{
    struct arrival taken = *arrival;
    struct message why = {0};
    if (take_values(topics, number, payload, &taken, &why)) {
        *arrival = taken;
        return true;
    }
    for (size_t k = 0; k < topics->item_count; k++)
        if (topics->items[k].number == number)
            status_fail(message, STATUS_MALFORMED, "on %s: %s", topics->items[k].topic, why.what);
    return false;
}
