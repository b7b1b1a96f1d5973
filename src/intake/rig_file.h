/* Rig file: the instruments of a test and their accuracy, as makers print it; an INI file.
 *
 * A section is a channel ([voltage], [current], [power], [temperature], [ambient temperature],
 * [charge tally], [energy tally]) or an instrument of any other name. A channel's section holds
 * `accuracy`, `resolution`, and `shunt` for the current; an instrument's section holds the same by
 * channel (`current = 0.8 % + 5 digits`, `current resolution = 0.01 A`). What belongs to the whole rig
 * (clock, film, averaging, skew, leads, sense leads, ripple, tally, probe lag) stands anywhere, once.
 * docs/rig.md is the full form.
 *
 * Terms of an accuracy add as bounds: `%` and `ppm` of reading are a gain; `% of 100 A`, `digits` and
 * amounts in the channel's unit an offset. A shunt's class (IEC 60051) is taken as a slope: a shunt is
 * a resistor, and its error is one of its ohms; see docs/rig.md. */
#ifndef RUNDOWN_INTAKE_RIG_FILE_H
#define RUNDOWN_INTAKE_RIG_FILE_H

#include "base/notices.h"
#include "base/status.h"
#include "quantity/accuracy.h"

/* A channel that the file does not state keeps rig_default()'s accuracy, and one notice (topic "rig")
 * names them all; a tally of the same shunt takes the accuracy of the amps, and of amps and volts. The
 * identity is a hash of the file's bytes: two runs with one rig file share their errors. */
enum status rig_read(const char *path, struct rig *ret_rig, struct notices *notices, struct message *message);
/* The same from memory; `path` is for messages and the rig's name. */
enum status rig_read_text(const char *path, struct span text, struct rig *ret_rig, struct notices *notices,
                          struct message *message);

#endif
