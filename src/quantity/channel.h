/* Channels: the quantities that an instrument delivers, instant by instant. */
#ifndef RUNDOWN_QUANTITY_CHANNEL_H
#define RUNDOWN_QUANTITY_CHANNEL_H

#include "quantity/unit.h"

enum channel {
    CHANNEL_VOLTAGE,       /* V at the sample's terminals, or where the rig says */
    CHANNEL_CURRENT,       /* A, positive when it leaves the sample */
    CHANNEL_POWER,         /* W, same sign as the current */
    CHANNEL_TEMPERATURE,   /* °C at the sample */
    CHANNEL_AMBIENT,       /* °C of the room or chamber */
    CHANNEL_CHARGE_TALLY,  /* Ah, the meter's own running total */
    CHANNEL_ENERGY_TALLY,  /* Wh, likewise */
    CHANNELS
};

const char *channel_name(enum channel channel);   /* "voltage", "charge tally", … */
const char *channel_symbol(enum channel channel); /* "V", "Ah", … */
enum quantity channel_quantity(enum channel channel);

#endif
