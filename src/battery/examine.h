/* Examine: from readings to findings. The two ways in, one for logs and one for sightings, give the
 * same findings, so that everything above treats a dozen typed lines and a million rows alike.
 *
 * Fails only when nothing can be computed at all (no current in any form, fewer than two readings, a
 * current whose direction cannot be told); the message names the remedy. What is doubtful goes into
 * notices. */
#ifndef RUNDOWN_BATTERY_EXAMINE_H
#define RUNDOWN_BATTERY_EXAMINE_H

#include "base/status.h"
#include "battery/findings.h"
#include "quantity/series.h"

/* The series must be oriented (see battery/direction.h). */
enum status examine_series(const struct series *series, const struct rig *rig, const struct asked *asked,
                           struct findings *ret_findings, struct notices *notices, struct message *message);

enum status examine_sightings(const struct sightings *sightings, const struct rig *rig,
                              const struct asked *asked, struct findings *ret_findings,
                              struct notices *notices, struct message *message);

#endif
