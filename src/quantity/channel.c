#include "quantity/channel.h"

static const struct {
    const char *name;
    enum quantity quantity;
} channels[CHANNELS] = {
    [CHANNEL_VOLTAGE] = {"voltage", QUANTITY_VOLTAGE},
    [CHANNEL_CURRENT] = {"current", QUANTITY_CURRENT},
    [CHANNEL_POWER] = {"power", QUANTITY_POWER},
    [CHANNEL_TEMPERATURE] = {"temperature", QUANTITY_TEMPERATURE},
    [CHANNEL_AMBIENT] = {"ambient temperature", QUANTITY_TEMPERATURE},
    [CHANNEL_CHARGE_TALLY] = {"charge tally", QUANTITY_CHARGE},
    [CHANNEL_ENERGY_TALLY] = {"energy tally", QUANTITY_ENERGY},
};

const char *channel_name(enum channel channel)
{
    return channels[channel].name;
}

const char *channel_symbol(enum channel channel)
{
    return quantity_symbol(channels[channel].quantity);
}

enum quantity channel_quantity(enum channel channel)
{
    return channels[channel].quantity;
}
