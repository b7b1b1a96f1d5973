/* JSON field: the characters of one value within a line of JSON, so that a number keeps its digits.
 *
 * A path is names and places joined by points: `pack.volts`, `cells.3` (places count from 1). Names are compared
 * byte by byte, and one that is written with a backslash is not found. */
#ifndef RUNDOWN_INSTRUMENT_JSON_FIELD_H
#define RUNDOWN_INSTRUMENT_JSON_FIELD_H

#include "base/status.h"
#include "base/text.h"

/* Whether the text is one whole value by RFC 8259; the message (without a place) says why not. */
bool json_field_sound(struct span json, struct message *message);

/* The value at that path of sound JSON; false when there is none. Strings come with their quotes. */
bool json_field_find(struct span json, struct span path, struct span *ret_value);

#endif
