/* Devices: what is plugged in that an instrument may be behind: serial lines and USBTMC device files. */
#ifndef RUNDOWN_INSTRUMENT_DEVICES_H
#define RUNDOWN_INSTRUMENT_DEVICES_H

#include "quantity/link.h"

#include <stdbool.h>
#include <stddef.h>

struct device {
    char address[160]; /* as a rig file wants it: `serial /dev/ttyUSB0`, `usbtmc /dev/usbtmc0` */
    char about[160];   /* what it calls itself; "" when it does not say */
    bool ours;         /* this user may read and write it */
};

struct devices {
    struct device *items;
    size_t count, capacity;
};

/* `root` is "" for this machine; a test has a tree of its own. Serial lines come from libserialport and are left
 * out for another root. */
void devices_find(const char *root, struct devices *ret_devices);
void devices_free(struct devices *devices);

/* For rigs that were written elsewhere, through a browser: each instrument is on a network or behind a device file of
 * the kinds above, by its usual name in /dev. A fault at the first that would read a file, the standard input or another
 * run, or open what is no instrument: whoever may record may not thereby read or write the files of this machine. */
enum status devices_alone(const struct links *links, struct message *message);

#endif
