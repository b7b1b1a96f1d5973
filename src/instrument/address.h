/* Address: where an instrument is, out of the rig file's words.
 *
 * `tcp HOST:PORT` (an IPv6 address in brackets: `tcp [::1]:5025`), `serial DEVICE BAUD 8N1` (9600 8N1 where
 * unsaid), `usbtmc DEVICE`, `stdin`, or else a path. */
#ifndef RUNDOWN_INSTRUMENT_ADDRESS_H
#define RUNDOWN_INSTRUMENT_ADDRESS_H

#include "quantity/link.h"

enum address_kind { ADDRESS_TCP, ADDRESS_SERIAL, ADDRESS_USBTMC, ADDRESS_STDIN, ADDRESS_PATH };

struct address {
    enum address_kind kind;
    char where[256]; /* host, device or path */
    int port;        /* 1 to 65535 */
    int baud, data_bits, stop_bits;
    char parity; /* 'N', 'E', 'O' */
};

/* `port` is taken where `tcp HOST` names none; 0: it must. `kinds` holds 1 << ADDRESS_… of what the driver can
 * use; anything else is a fault that names what it takes. */
enum status address_read(const struct link *link, unsigned kinds, int port, struct address *ret_address,
                         struct message *message);

#endif
