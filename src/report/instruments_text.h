/* What was found of instruments, as text and as JSON (docs/instruments.md). */
#ifndef RUNDOWN_REPORT_INSTRUMENTS_TEXT_H
#define RUNDOWN_REPORT_INSTRUMENTS_TEXT_H

#include "base/json_value.h"
#include "instrument/devices.h"
#include "instrument/probe.h"
#include "quantity/accuracy.h"

/* What the rig's accuracy means at a reading: a half-width, own unit; NaN where the channel has none, or its digits
 * are not known. */
double instruments_bound(const struct rig *rig, const struct link_channel *channel,
                         const struct probe_channel *heard);

void instruments_probe_words(const struct rig *rig, const struct probe *probes, size_t count,
                             struct text *text);
void instruments_probe_json(const struct rig *rig, const struct probe *probes, size_t count,
                            struct text *text);
void instruments_list_words(const struct devices *devices, const struct driver *const *among,
                            struct text *text);
void instruments_list_json(const struct devices *devices, const struct driver *const *among,
                           struct text *text);

/* The same documents; the caller owns them. */
json_t *json_of_probes(const struct rig *rig, const struct probe *probes, size_t count);
json_t *json_of_devices(const struct devices *devices, const struct driver *const *among);

#endif
