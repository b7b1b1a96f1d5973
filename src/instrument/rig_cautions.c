#include "instrument/rig_cautions.h"

#include <stddef.h>

/* Common practice, no source. */
const char *const rig_cautions[] = {
    "A supply, an instrument and a computer may share their ground through USB, a serial line or the mains. Two such grounds "
    "on either side of a shunt short it, and one behind a BMS that switches the negative side bypasses it: the pack is "
    "then no longer protected. Use isolated interfaces, or a computer that runs from its own battery.",
    "Never run the recorder from the inverter under test: it would go dark with the pack, at the moment that counts.",
    "A fuse at the source, in the lead that leaves the pack, and one of its own in each thin sense lead, before anything is "
    "connected. Connect the sample last and disconnect it first.",
    "Where local rules ask for a licensed person, have one wire it.",
    NULL,
};
