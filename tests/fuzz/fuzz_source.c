/* instrument/modbus_map.h and mqtt_topics.h: the first line is a channel's source, the rest what the instrument
 * says. What is read stays within its bounds; what is refused says why and leaves everything as it was. */
#include "instrument/modbus_map.h"
#include "instrument/mqtt_topics.h"

#include <stdint.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void hold(bool property)
{
    if (!property)
        abort();
}

static void registers(const struct link *link, struct span said)
{
    struct modbus_item item;
    struct modbus_block block;
    struct message message = {0};
    uint16_t bits[4] = {0};
    size_t of = 7;
    char odd[24] = "";
    if (modbus_item_read(link, &link->channels[0], &item, &message) != STATUS_OK) {
        hold(message.line == 5 && message.what[0] != '\0' && message.remedy[0] != '\0');
        return;
    }
    hold(item.words == 1 || item.words == 2 || item.words == 4);
    hold(item.address >= 0 && item.address + item.words <= 0x10000);
    hold(modbus_plan(&item, 1, &block, &of) == 1 && of == 0 && block.count == item.words);
    if (said.n > 0)
        memcpy(bits, said.p, said.n < sizeof bits ? said.n : sizeof bits);
    struct decimal value = modbus_value(&item, bits, odd);
    hold((value.kind == DECIMAL_ODD) == (odd[0] != '\0'));
    hold(value.mantissa < INT64_C(1000000000000000000) && value.mantissa > -INT64_C(1000000000000000000));
}

static void topics(const struct link *link, struct span said)
{
    struct mqtt_topics known;
    struct message message = {0};
    struct arrival arrival = {0}, before = arrival;
    if (mqtt_topics_read(link, &known, &message) != STATUS_OK) {
        hold(message.line == 5 && message.what[0] != '\0' && message.remedy[0] != '\0');
        return;
    }
    hold(mqtt_topics_number(&known, known.items[0].topic) == 0);
    if (mqtt_topics_take(&known, 0, said, &arrival, &message))
        hold((arrival.cells[0].kind == DECIMAL_ODD) == (arrival.odd[0] != '\0') && message.what[0] == '\0');
    else
        hold(message.what[0] != '\0' && memcmp(&arrival, &before, sizeof before) == 0);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static struct link link;
    struct span said = {(const char *)data, size}, source = {said.p, 0};
    while (source.n < size && source.p[source.n] != '\n')
        source.n++;
    said.p += source.n < size ? source.n + 1 : size;
    said.n -= source.n < size ? source.n + 1 : size;
    link = (struct link){.name = "fuzzed", .file = "fuzz.rig", .line = 4, .channel_count = 1};
    link.channels[0] = (struct link_channel){.name = "voltage", .line = 5, .column = 16};
    span_copy(source, link.channels[0].source, sizeof link.channels[0].source);
    registers(&link, said);
    topics(&link, said);
    return 0;
}
