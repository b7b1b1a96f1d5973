/* Field: one value as an instrument wrote it: `12.90`, `+1.2900E+01`, `12.9 V`, `0:12:34`, `OL`, `---`.
 *
 * Nothing (blank, dashes, `nan`, `null`, 9.91E37) is missing; `OL`, `inf`, ±9.9E37 and the like are an overload;
 * both numbers by SCPI-99 volume 1, 7.2.1.4 and 7.2.1.5 (from memory). A unit after the number must be the one
 * that the rig file states. Of times, h:mm:ss becomes seconds. */
#ifndef RUNDOWN_INSTRUMENT_FIELD_H
#define RUNDOWN_INSTRUMENT_FIELD_H

#include "base/decimal.h"
#include "base/status.h"
#include "quantity/link.h"

enum { FIELD_ODD = 64, FIELD_SHOWN = 48 };

/* False when the text is no value of that channel; the message (without a place) says why. `odd` gets the text
 * of a DECIMAL_ODD when it holds none yet. */
bool field_read(struct span text, const struct link_channel *channel, char decimal,
                struct decimal *ret_decimal, char odd[static FIELD_ODD], struct message *message);

/* What came, for a message: shortened, and bytes that no terminal should get as `\x1b`. */
void field_show(struct span text, char buffer[static FIELD_SHOWN]);

#endif
