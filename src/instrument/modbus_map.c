#include "instrument/modbus_map.h"

#include "base/nearest.h"

#include <float.h>
#include <inttypes.h>

static const char *const type_names[] = {"u16", "i16", "u32", "i32", "u64", "i64", "float32", NULL};
static const int type_words[] = {1, 1, 2, 2, 4, 4, 2};

/* A whole number from 0, decimal or after 0x hexadecimal. */
static bool whole_number(struct span word, uint64_t most, uint64_t *ret_number)
{
    bool hex = word.n > 2 && word.p[0] == '0' && (word.p[1] == 'x' || word.p[1] == 'X');
    uint64_t base = hex ? 16 : 10, number = 0;
    for (size_t k = hex ? 2 : 0; k < word.n; k++) {
        char c = word.p[k];
        uint64_t digit = c >= '0' && c <= '9'          ? (uint64_t)(c - '0')
                         : hex && c >= 'a' && c <= 'f' ? (uint64_t)(c - 'a') + 10
                         : hex && c >= 'A' && c <= 'F' ? (uint64_t)(c - 'A') + 10
                                                       : 99;
        if (digit >= base || number > (most - digit) / base)
            return false;
        number = number * base + digit;
    }
    *ret_number = number;
    return word.n > 0;
}

static enum status fault(const struct link *link, const struct link_channel *channel, struct span word,
                         const char *what, struct message *message)
{
    link_fault(link, NULL, channel, message, "'%.*s' %s", (int)word.n, word.p, what);
    return status_remedy(
        message,
        "write for instance `%s from = input 0x0012 u32 swapped`: a table (input or holding), "
        "an address from 0, and, where they hold, a type (u16, i16, u32, i32, u64, i64, "
        "float32), `swapped`, `except 0xFFFF`, `overload 0x7FFF`",
        channel->name);
}

static enum status read_extras(const struct link *link, const struct link_channel *channel, struct span rest,
                               struct modbus_item *item, struct message *message)
{
    bool typed = false, named = true;
    for (struct span word; (word = span_take_word(&rest)).n > 0;) {
        int type = name_find(word, type_names);
        if (type >= 0 && !typed) {
            item->type = (enum modbus_type)type;
            typed = true;
        } else if (span_is_word(word, "swapped") && !item->swapped) {
            item->swapped = true;
        } else if (span_is_word(word, "except") && !item->has_except) {
            item->has_except = whole_number(word = span_take_word(&rest), UINT64_MAX, &item->except);
            named = item->has_except;
        } else if (span_is_word(word, "overload") && !item->has_overload) {
            item->has_overload = whole_number(word = span_take_word(&rest), UINT64_MAX, &item->overload);
            named = item->has_overload;
        } else {
            return fault(link, channel, word, "is not understood in a Modbus source", message);
        }
        if (!named)
            return fault(link, channel, word, "is no pattern of bits, such as 0xFFFF", message);
    }
    item->words = type_words[item->type];
    if (item->swapped && item->words == 1)
        return fault(link, channel, span_of(channel->source),
                     "is a single register: it has no order of words", message);
    if (item->words < 4 && (item->except | item->overload) >> (16 * item->words) != 0)
        return fault(link, channel, span_of(channel->source), "names a pattern wider than itself", message);
    return STATUS_OK;
}

enum status modbus_item_read(const struct link *link, const struct link_channel *channel,
                             struct modbus_item *ret_item, struct message *message)
{
    struct modbus_item item = {.type = MODBUS_U16};
    struct span rest = span_of(channel->source), table = span_take_word(&rest), word = span_take_word(&rest);
    uint64_t address;
    if (span_is_word(table, "holding"))
        item.function = MODBUS_HOLDING;
    else if (span_is_word(table, "input"))
        item.function = MODBUS_INPUT;
    else
        return fault(link, channel, table, "is no table of registers", message);
    if (!whole_number(word, 0xFFFF, &address))
        return fault(link, channel, word, "is no register address from 0 to 65535", message);
    item.address = (int)address;
    enum status status = read_extras(link, channel, rest, &item, message);
    if (status == STATUS_OK && item.address + item.words > 0x10000)
        status = fault(link, channel, span_of(channel->source), "would reach beyond register 65535", message);
    if (status == STATUS_OK)
        *ret_item = item;
    return status;
}

static bool before(const struct modbus_item *a, const struct modbus_item *b)
{
    return a->function != b->function ? a->function < b->function : a->address < b->address;
}

size_t modbus_plan(const struct modbus_item *items, size_t count, struct modbus_block *ret_blocks,
                   size_t *ret_block_of)
{
    size_t order[LINK_CHANNELS + 1], blocks = 0;
    for (size_t k = 0; k < count; k++) {
        size_t at = k;
        for (; at > 0 && before(&items[k], &items[order[at - 1]]); at--)
            order[at] = order[at - 1];
        order[at] = k;
    }
    for (size_t k = 0; k < count; k++) {
        const struct modbus_item *item = &items[order[k]];
        struct modbus_block *last = blocks > 0 ? &ret_blocks[blocks - 1] : NULL;
        int end = item->address + item->words;
        if (last != NULL && last->function == item->function && item->address <= last->first + last->count &&
            end - last->first <= MODBUS_MOST)
            last->count = end - last->first > last->count ? end - last->first : last->count;
        else
            ret_blocks[blocks++] = (struct modbus_block){item->function, item->address, item->words};
        ret_block_of[order[k]] = blocks - 1;
    }
    return blocks;
}

static struct decimal of_float(uint32_t bits)
{
    float value;
    memcpy(&value, &bits, sizeof value);
    if (!isfinite(value))
        return (struct decimal){.kind = isnan(value) ? DECIMAL_MISSING : DECIMAL_OVERLOAD};
    struct decimal read = {.kind = DECIMAL_MISSING};
    for (int digits = 1; digits <= FLT_DECIMAL_DIG; digits++) {
        char text[32];
        snprintf(text, sizeof text, "%.*g", digits, (double)value);
        decimal_read(span_of(text), '.', &read);
        if ((float)decimal_value(read) == value)
            break;
    }
    return read;
}

static struct decimal of_integer(bool negative, uint64_t magnitude, char *ret_odd)
{
    if (magnitude > UINT64_C(999999999999999999)) {
        snprintf(ret_odd, 24, "%s%" PRIu64, negative ? "-" : "", magnitude);
        return (struct decimal){.kind = DECIMAL_ODD};
    }
    return (struct decimal){.mantissa = negative ? -(int64_t)magnitude : (int64_t)magnitude,
                            .kind = DECIMAL_NUMBER};
}

struct decimal modbus_value(const struct modbus_item *item, const uint16_t *registers, char *ret_odd)
{
    uint64_t bits = 0;
    for (int k = 0; k < item->words; k++)
        bits = bits << 16 | registers[item->swapped ? item->words - 1 - k : k];
    if (item->has_except && bits == item->except)
        return (struct decimal){.kind = DECIMAL_MISSING};
    if (item->has_overload && bits == item->overload)
        return (struct decimal){.kind = DECIMAL_OVERLOAD};
    if (item->type == MODBUS_FLOAT32)
        return of_float((uint32_t)bits);
    bool is_signed = item->type == MODBUS_I16 || item->type == MODBUS_I32 || item->type == MODBUS_I64;
    bool negative = is_signed && bits >> (16 * item->words - 1) != 0;
    uint64_t mask = item->words == 4 ? UINT64_MAX : (UINT64_C(1) << 16 * item->words) - 1;
    return of_integer(negative, negative ? (~bits + 1) & mask : bits, ret_odd);
}
