/* Rig links: how the instruments of a rig file are reached. docs/instruments.md is the full form.
 *
 * A section that holds `driver = …` is a link; beside `address`, `period` and `timeout` it says where each
 * channel comes from:
 *
 *     voltage from = MEAS:VOLT?
 *     current from = field 2 in mA reversed
 *     cell 3 voltage from = field 5 in mV
 *     temperature of the sensor from = key sensor.t in °F
 *     time from = field 1 in ms
 *
 * After the source: `in UNIT`, `times N`, `plus N` (in that unit), `reversed`, each once, in any order; together
 * they are one unit: own = ±((number × times + plus) in UNIT). Volts of a current are brought to amps by the
 * rig's shunt. Where none is stated, `period` is 1 s for instruments that are asked, and `timeout` 2 s for those
 * and 10 s for others.
 *
 * Accuracy may stand in the same section and is intake/rig_file.h's; every key is known to one of the two, and
 * rig_read refuses the others. */
#ifndef RUNDOWN_INTAKE_RIG_LINKS_H
#define RUNDOWN_INTAKE_RIG_LINKS_H

#include "intake/ini.h"
#include "quantity/link.h"

/* A rig file without links gives none, which is no fault. The caller owns what is returned (links_free). */
enum status rig_links_read(const char *path, struct links *ret_links, struct message *message);
/* The same from memory; `path` is for messages. */
enum status rig_links_read_text(const char *path, struct span text, struct links *ret_links,
                                struct message *message);
enum status rig_links_of(const struct ini *ini, struct links *ret_links, struct message *message);

/* Whether the entry is a link's, as against one of accuracy or one that nobody knows. */
bool rig_links_own(const struct ini *ini, const struct ini_entry *entry);
/* Fills `known` with the keys that a link's section may hold; returns how many. For the nearest name. */
enum { RIG_LINKS_KEYS = 24 };
size_t rig_links_keys(const struct ini *ini, const char *section, const char *known[static RIG_LINKS_KEYS]);

#endif
