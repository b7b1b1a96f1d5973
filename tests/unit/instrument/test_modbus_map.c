#include "instrument/modbus_map.h"

#include "check.h"

static const struct link invented = {.name = "invented meter", .file = "hut.rig", .line = 3};

static struct link_channel channel_of(const char *source)
{
    struct link_channel channel = {.name = "voltage", .line = 7, .column = 16};
    span_copy(span_of(source), channel.source, sizeof channel.source);
    return channel;
}

static struct modbus_item item_of(const char *source)
{
    struct link_channel channel = channel_of(source);
    struct modbus_item item = {0};
    struct message message;
    CHECK(modbus_item_read(&invented, &channel, &item, &message) == STATUS_OK);
    return item;
}

static const char *refused(const char *source)
{
    static struct message message;
    struct link_channel channel = channel_of(source);
    struct modbus_item item = {.address = -7};
    CHECK(modbus_item_read(&invented, &channel, &item, &message) == STATUS_MALFORMED);
    CHECK(item.address == -7);
    CHECK(message.line == 7 && message.column == 16);
    CHECK_TEXT(message.file, "hut.rig");
    CHECK(strstr(message.remedy, "voltage from = input 0x0012 u32 swapped") != NULL);
    return message.what;
}

static const char *shown(const char *source, const uint16_t *registers)
{
    static char text[DECIMAL_TEXT];
    struct modbus_item item = item_of(source);
    struct decimal value = modbus_value(&item, registers, text);
    if (value.kind == DECIMAL_MISSING)
        return "missing";
    if (value.kind != DECIMAL_ODD)
        decimal_print(value, text);
    return text;
}

TEST(a_source_is_read)
{
    struct modbus_item item = item_of("input 0x0012 u32 swapped");
    CHECK(item.function == 4 && item.address == 18 && item.words == 2);
    CHECK(item.type == MODBUS_U32 && item.swapped && !item.has_except);
    item = item_of("Holding\t107  except 0xffff");
    CHECK(item.function == 3 && item.address == 107 && item.words == 1 && item.type == MODBUS_U16);
    CHECK(item.has_except && item.except == 0xFFFF);
    item = item_of("holding 65532 swapped I64");
    CHECK(item.words == 4 && item.type == MODBUS_I64 && item.swapped);
    CHECK(item_of("input 65535").address == 65535);
}

TEST(what_is_no_source_is_refused_with_its_place)
{
    CHECK_TEXT(refused("coil 3"), "'coil' is no table of registers");
    CHECK_TEXT(refused(""), "'' is no table of registers");
    CHECK_TEXT(refused("input"), "'' is no register address from 0 to 65535");
    CHECK_TEXT(refused("input 65536"), "'65536' is no register address from 0 to 65535");
    CHECK_TEXT(refused("input -1"), "'-1' is no register address from 0 to 65535");
    CHECK_TEXT(refused("input 0x"), "'0x' is no register address from 0 to 65535");
    CHECK_TEXT(refused("input 18446744073709551634"),
               "'18446744073709551634' is no register address from 0 to 65535");
    CHECK_TEXT(refused("input 18 u24"), "'u24' is not understood in a Modbus source");
    CHECK_TEXT(refused("input 18 u32 i32"), "'i32' is not understood in a Modbus source");
    CHECK_TEXT(refused("input 18 u32 swapped swapped"), "'swapped' is not understood in a Modbus source");
    CHECK_TEXT(refused("input 18 swapped"),
               "'input 18 swapped' is a single register: it has no order of words");
    CHECK_TEXT(refused("input 65535 u32"), "'input 65535 u32' would reach beyond register 65535");
    CHECK_TEXT(refused("input 1 except"), "'' is no pattern of bits, such as 0xFFFF");
    CHECK_TEXT(refused("input 1 except 0x10000"),
               "'input 1 except 0x10000' names a pattern wider than itself");
}

/* Values 555, 0 and 100 at addresses 107 to 109: the example of function 3 in the MODBUS Application Protocol
 * V1.1b3, 6.3; and 10 of function 4, 6.4 (the latter from memory). */
TEST(integers_keep_every_digit)
{
    const uint16_t example[] = {0x022B, 0x0000, 0x0064, 0x000A};
    CHECK_TEXT(shown("holding 107", example), "555");
    CHECK_TEXT(shown("holding 108", example + 1), "0");
    CHECK_TEXT(shown("input 8 u16", example + 3), "10");
    CHECK_TEXT(shown("input 8 u32", example), "36372480");
    CHECK_TEXT(shown("input 8 u32 swapped", example + 2), "655460");
    const uint16_t high[] = {0xFFFF, 0xFFFE, 0xFFFF, 0xFFFF};
    CHECK_TEXT(shown("input 8", high), "65535");
    CHECK_TEXT(shown("input 8 i16", high + 1), "-2");
    CHECK_TEXT(shown("input 8 u32", high), "4294967294");
    CHECK_TEXT(shown("input 8 i32", high), "-2");
    CHECK_TEXT(shown("input 8 i32 swapped", high), "-65537");
    CHECK_TEXT(shown("input 8 i64", high), "-4294967297");
    CHECK_TEXT(shown("input 8 u64", high), "18446744069414584319"); /* 20 digits: odd, its text kept */
    const uint16_t edge[] = {0x8000, 0, 0, 0};
    CHECK_TEXT(shown("input 8 i16", edge), "-32768");
    CHECK_TEXT(shown("input 8 i32", edge), "-2147483648");
    CHECK_TEXT(shown("input 8 i64", edge), "-9223372036854775808");
    CHECK_TEXT(shown("input 8 i16 except 0x8000", edge), "missing");
    CHECK_TEXT(shown("input 8 i16 except 0x8000", edge + 1), "0");
    CHECK_TEXT(shown("input 8 i16 except 1 overload 0x8000", edge), "OL");
    CHECK_TEXT(shown("input 8 u32 except 32768 swapped", edge), "missing");
}

/* 12.9 as binary32 is 0x414E6666 (IEEE 754-2008, 3.4; computed from its definition). */
TEST(floats_become_the_shortest_decimal_of_their_value)
{
    const uint16_t volts[] = {0x414E, 0x6666, 0x414E};
    CHECK_TEXT(shown("input 0 float32", volts), "12.9");
    CHECK_TEXT(shown("input 0 float32 swapped", volts + 1), "12.9");
    const uint16_t odd[] = {0x8000, 0x0000, 0x7F80, 0x0000, 0x7FC0, 0x0001, 0xFF7F, 0xFFFF, 0x0000, 0x0001};
    CHECK_TEXT(shown("input 0 float32", odd), "-0");
    CHECK_TEXT(shown("input 0 float32", odd + 2), "OL");
    CHECK_TEXT(shown("input 0 float32", odd + 4), "missing");
    CHECK_TEXT(shown("input 0 float32", odd + 6), "-34028235E31"); /* the largest, FLT_MAX */
    CHECK_TEXT(shown("input 0 float32", odd + 8), "1E-45");        /* the smallest */
}

TEST(neighbours_are_read_at_once_and_no_gap_is_bridged)
{
    const char *const sources[] = {"input 4 u32", "holding 0", "input 0 u32", "input 2 i32",
                                   "input 7",     "holding 1", "input 5",     "input 0"};
    struct modbus_item items[8];
    struct modbus_block blocks[8];
    size_t of[8];
    for (size_t k = 0; k < 8; k++)
        items[k] = item_of(sources[k]);
    CHECK(modbus_plan(items, 8, blocks, of) == 3);
    CHECK(blocks[0].function == 3 && blocks[0].first == 0 && blocks[0].count == 2);
    CHECK(blocks[1].function == 4 && blocks[1].first == 0 && blocks[1].count == 6);
    CHECK(blocks[2].function == 4 && blocks[2].first == 7 && blocks[2].count == 1);
    CHECK(of[0] == 1 && of[1] == 0 && of[2] == 1 && of[4] == 2 && of[6] == 1 && of[7] == 1);
}

TEST(no_request_exceeds_what_the_protocol_allows_nor_splits_a_value)
{
    struct modbus_item items[LINK_CHANNELS];
    struct modbus_block blocks[LINK_CHANNELS];
    size_t of[LINK_CHANNELS];
    for (int k = 0; k < LINK_CHANNELS; k++)
        items[k] = (struct modbus_item){.function = 4, .address = 4 * (LINK_CHANNELS - 1 - k), .words = 4};
    CHECK(modbus_plan(items, LINK_CHANNELS, blocks, of) == 2);
    CHECK(blocks[0].first == 0 && blocks[0].count == 124); /* the 125th would be half a value */
    CHECK(blocks[1].first == 124 && blocks[1].count == 4);
    CHECK(of[0] == 1 && of[1] == 0);
}
