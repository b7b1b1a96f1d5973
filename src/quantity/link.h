/* Link: how one instrument of a rig is reached, in the rig file's own words.
 *
 * The rig file holds accuracy and link side by side; intake reads both and judges neither the address nor
 * the source of a channel: a driver does, and its messages name the file and line kept here. */
#ifndef RUNDOWN_QUANTITY_LINK_H
#define RUNDOWN_QUANTITY_LINK_H

#include "base/status.h"
#include "quantity/channel.h"

#include <stdbool.h>

struct link_setting {
    char *key, *value; /* owned; key as in docs/instruments.md, blanks and case made even */
    long line, column; /* of the value */
};

/* One quantity that the instrument delivers: `voltage from = field 2 in mV`. */
struct link_channel {
    char name[48];           /* "voltage", "cell 3 voltage", "temperature of the sensor" */
    enum channel channel;    /* CHANNELS: no channel of the analysis; kept, shown and watched all the same */
    enum quantity quantity;
    struct unit unit;        /* of what arrives, the rig's `in mV` and `reversed` and `times 0.1` folded in */
    char unit_symbol[16];    /* "mV" */
    char source[160];        /* what stands before them: `field 2`, `MEAS:VOLT?`, `input 18 u32` */
    long line, column;
};

enum { LINK_CHANNELS = 32 };

struct link {
    char name[64];    /* the section's name */
    char file[256];
    long line;
    char driver[16];  /* "scpi", "modbus", "lines", "mqtt", "file", "replay", "none" */
    char address[256]; /* `tcp HOST:PORT`, `serial DEVICE 9600 8N1`, `usbtmc DEVICE`, `stdin`, a path */
    double period_s;  /* between polls; 0: the instrument speaks when it likes */
    double timeout_s; /* of the bench's clock, also in a rehearsal faster than life */
    bool own_time;    /* it sends its own elapsed time (`time from = …`), which then stamps its readings */
    struct link_channel time_source; /* when own_time; its unit brings it to seconds */
    struct link_channel channels[LINK_CHANNELS];
    int channel_count;
    struct link_setting *settings; /* all other keys of the section, owned */
    size_t setting_count, setting_capacity;
};

/* The links of a rig, and what holds for all of them. */
struct links {
    struct link *items;
    size_t count, capacity;
    double clock_rate; /* `rehearsal rate = 600`: the bench's clock runs so much faster; 1 in earnest */
};

void links_free(struct links *links);

/* The keys that a section of that driver may hold beside `driver`, `address`, `period`, `timeout` and `… from`,
 * ended by NULL; NULL for a driver that no rig file may name. `ret_polled` (may be NULL): it is asked, so that
 * without a `period` once a second is meant. */
const char *const *link_keys(const char *driver, bool *ret_polled);
extern const char *const link_drivers[]; /* the names, ended by NULL */

/* The value of a setting, NULL when the section has none; `after` NULL: the first of that key. */
const struct link_setting *link_setting(const struct link *link, const char *key, const struct link_setting *after);

/* A fault at a setting, at a channel's source, or (both NULL) at the section. Returns STATUS_MALFORMED. */
__attribute__((format(printf, 5, 6)))
enum status link_fault(const struct link *link, const struct link_setting *setting,
                       const struct link_channel *channel, struct message *message, const char *what, ...);

#endif
