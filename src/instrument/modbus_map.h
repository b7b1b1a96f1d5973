/* Modbus map: which registers hold a channel, how they are read together, and what they say.
 *
 * A source is `TABLE ADDRESS [TYPE] [swapped] [except N] [overload N]`: `holding 0`, `input 0x12 u32 swapped`,
 * `input 18 i16 except 0x8000`. `holding` is read by function 3, `input` by function 4. ADDRESS counts from 0 as
 * in the frames themselves (MODBUS Application Protocol V1.1b3, 4.4: register 1 of a manual is address 0), so
 * that what a manual calls 40019 is `holding 18`. TYPE is u16 (unsaid), i16, u32, i32, u64, i64 or float32 (IEEE
 * 754). The word at the lower address is the higher one, `swapped` the lower; bytes in a word are always high
 * first, as the protocol has it. `except N` is the pattern of bits by which the instrument says that it has no
 * value, `overload N` that by which it says that it is out of its range.
 *
 * What is read is the register's own number: integers to the last digit, floats as the shortest decimal that
 * stands for that float. Unit and scale are the link's. */
#ifndef RUNDOWN_INSTRUMENT_MODBUS_MAP_H
#define RUNDOWN_INSTRUMENT_MODBUS_MAP_H

#include "base/decimal.h"
#include "quantity/link.h"

#include <stddef.h>
#include <stdint.h>

enum modbus_type { MODBUS_U16, MODBUS_I16, MODBUS_U32, MODBUS_I32, MODBUS_U64, MODBUS_I64, MODBUS_FLOAT32 };

enum {
    MODBUS_HOLDING = 3, /* function codes */
    MODBUS_INPUT = 4,
    MODBUS_MOST = 125, /* registers that one request may ask for (V1.1b3, 6.3 and 6.4) */
};

struct modbus_item {
    int function;
    int address, words; /* words: 1, 2 or 4 registers */
    enum modbus_type type;
    bool swapped, has_except, has_overload;
    uint64_t except, overload;
};

/* Registers that are asked for at once: neighbours only, since many instruments refuse a request that
 * touches a register they do not have. */
struct modbus_block {
    int function, first, count;
};

/* The source of that channel of the link. A fault names its place in the rig file. */
enum status modbus_item_read(const struct link *link, const struct link_channel *channel,
                             struct modbus_item *ret_item, struct message *message);

/* The fewest requests that read all items, each item whole in one request (its words belong to one instant).
 * `ret_blocks` has room for `count`, `ret_block_of` gets each item's. Returns the number of blocks. */
size_t modbus_plan(const struct modbus_item *items, size_t count, struct modbus_block *ret_blocks,
                   size_t *ret_block_of);

/* What the item's registers say. A float that is no number is missing, an infinite one an overload. An integer
 * beyond 18 digits is odd, and its text goes to `ret_odd` (24 bytes), which is untouched otherwise. */
struct decimal modbus_value(const struct modbus_item *item, const uint16_t *registers, char *ret_odd);

#endif
